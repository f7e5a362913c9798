package coupon

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"
)

func close(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.8g, want %.8g ± %g", name, got, want, tol)
	}
}

// Tolerance factors printed in CMH-17-1G, Composite Materials Handbook, volume
// 1 (2012), chapter 8, to the last digit printed; the print is rounded up by
// one or two units there.
func TestToleranceFactors(t *testing.T) {
	for _, row := range []struct {
		n    int
		b, a float64
	}{
		{3, 6.157, 10.553}, {4, 4.163, 7.042}, {5, 3.408, 5.741}, {6, 3.007, 5.062}, {8, 2.583, 4.354}, {10, 2.355, 3.981}, {12, 2.211, 3.747},
		{15, 2.069, 3.520}, {18, 1.974, 3.370}, {20, 1.927, 3.295}, {21, 1.906, 3.263}, {25, 1.839, 3.158}, {30, 1.778, 3.064}, {50, 1.646, 2.862}, {100, 1.527, 2.684},
	} {
		close(t, fmt.Sprintf("B, n = %d", row.n), ToleranceFactor(row.n, bShare), row.b, 0.002)
		close(t, fmt.Sprintf("A, n = %d", row.n), ToleranceFactor(row.n, aShare), row.a, 0.0007)
	}
}

// worked is the data set of 18 strengths worked in the documents of the open
// package cmstatr (S. Kloppenborg, Journal of Open Source Software 5 (2020)
// 2265), with the answers of the handbook's own spreadsheets.
var worked = []float64{
	137.4438, 139.5395, 150.8900, 141.4474, 141.8203, 151.8821, 143.9245, 132.9732, 136.6419, 138.1723, 148.7668, 143.2830, 143.5429, 141.7023, 137.4732, 152.3380, 144.1589, 128.5218,
}

func TestWorkedSample(t *testing.T) {
	a, err := Evaluate(Sample{[][]float64{worked[:6], worked[6:12], worked[12:]}})
	if err != nil {
		t.Fatal(err)
	}
	close(t, "mean", a.Mean, 141.91788, 1e-5)
	close(t, "standard deviation", a.SD, 6.39788, 1e-5)
	w, n, l := a.Fits[0], a.Fits[1], a.Fits[2]
	close(t, "Weibull shape", w.Parameters[0], 24.8106, 1e-3)
	close(t, "Weibull scale", w.Parameters[1], 144.8872, 1e-3)
	close(t, "Weibull B", w.B, 125.441, 1e-3)
	close(t, "Weibull A", w.A, 109.150, 1e-3)
	close(t, "Weibull OSL", w.OSL, 0.179, 5e-4)
	// The spreadsheets use approximate factors, 0.003 and 0.02 MPa off here.
	close(t, "normal B", n.B, 129.287, 0.005)
	close(t, "normal A", n.A, 120.336, 0.025)
	close(t, "normal OSL", n.OSL, 0.465, 5e-4)
	close(t, "lognormal B", l.B, 129.664, 0.005)
	close(t, "lognormal A", l.A, 121.710, 0.025)
	close(t, "lognormal OSL", l.OSL, 0.480, 5e-4)
	if a.Fits[a.Chosen].Name != "Weibull" || a.B() != w.B || a.A() != w.A || !a.BatchesAgree {
		t.Errorf("chosen %s, batches agree %v", a.Fits[a.Chosen].Name, a.BatchesAgree)
	}
}

// Critical normed residuals and the outlier example of CMH-17-1G 8.3.11.1.1,
// as quoted in the documents of cmstatr.
func TestOutliers(t *testing.T) {
	for n, want := range map[int]float64{3: 1.154, 4: 1.481, 5: 1.715, 6: 1.887, 7: 2.020, 8: 2.127, 10: 2.290, 18: 2.652, 30: 2.908} {
		close(t, fmt.Sprintf("limit, n = %d", n), outlierLimit(n), want, 1e-3)
	}
	two := []float64{99.3207107, 115.861770, 82.6133082, 85.3690411, 115.801622, 44.3217741, 117.328077, 88.6782903}
	three := []float64{107.676986, 108.960241, 116.122640, 80.2334815, 106.145570, 104.667866, 104.234953}
	if got := outliers(1, two); len(got) != 0 {
		t.Errorf("batch 2: %v", got)
	}
	got := outliers(2, three)
	if len(got) != 1 || got[0].Value != 80.2334815 {
		t.Fatalf("batch 3: %v", got)
	}
	close(t, "normed residual", got[0].Residual, 2.1192, 1e-4)
}

// Smoothness of paper in four laboratories, Scholz & Stephens (1987), table 1:
// A² = 8.3926, σ = 1.2038.
func TestKSample(t *testing.T) {
	labs := [][]float64{
		{38.7, 41.5, 43.8, 44.5, 45.5, 46.0, 47.7, 58.0}, {39.2, 39.3, 39.7, 41.4, 41.8, 42.9, 43.3, 45.8},
		{34.0, 35.0, 39.0, 40.0, 43.0, 43.0, 44.0, 45.0}, {34.0, 34.8, 34.8, 35.4, 37.2, 37.8, 41.2, 42.8},
	}
	adk, critical := kSample(labs)
	close(t, "A²", adk*3, 8.3926, 1e-4)
	close(t, "σ", math.Sqrt(kSampleVariance(labs, 32)), 1.2038, 1e-4)
	if adk <= critical {
		t.Errorf("%v is not over %v: these laboratories differ (p = 0.002)", adk, critical)
	}
	if a, c := kSample(labs[:1]); a != 0 || c != 0 {
		t.Errorf("one batch: %v, %v", a, c)
	}
}

// B-values lie below the tenth percentile of the parent in 95 % of samples: of
// 2000 drawn, the share lies within four standard errors of 95 %.
func TestCoverage(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	const trials, n = 2000, 12
	k := ToleranceFactor(n, bShare)
	draw := map[string]struct {
		next       func() float64
		percentile float64
		fit        func([]float64) Fit
	}{
		"normal": {func() float64 { return 100 + 8*r.NormFloat64() }, 100 - 1.2815515655*8, func(x []float64) Fit {
			m, s := moments(x)
			return Fit{B: m - k*s}
		}},
		"Weibull": {func() float64 { return 100 * math.Pow(-math.Log(1-r.Float64()), 1.0/15) }, 100 * math.Pow(-math.Log(0.9), 1.0/15), fitWeibull},
	}
	for _, name := range []string{"normal", "Weibull"} {
		d := draw[name]
		below := 0
		for range trials {
			x := make([]float64, n)
			for i := range x {
				x[i] = d.next()
			}
			slices.Sort(x)
			f := d.fit(x)
			if f.B <= d.percentile {
				below++
			}
		}
		// The handbook's V is an approximation: a hundredth more is allowed.
		close(t, name, float64(below)/trials, 0.95, 4*math.Sqrt(0.95*0.05/trials)+0.01)
	}
}

func TestEvaluateRefuses(t *testing.T) {
	for name, x := range map[string][]float64{"too few": {1, 2}, "negative": {1, 2, -3}, "alike": {5, 5, 5, 5}, "no number": {1, 2, math.NaN()}, "endless": {1, 2, math.Inf(1)}} {
		if _, err := Evaluate(Sample{[][]float64{x}}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	big := make([]float64, 40)
	for i := range big {
		big[i] = 100 + float64(i%2)*50 + float64(i)/100
	}
	a, err := Evaluate(Sample{[][]float64{big}})
	if err != nil || a.Fits[a.Chosen].Name != "none" || a.B() != 100 || !math.IsNaN(a.A()) {
		t.Errorf("two heaps of values: %+v, %v", a, err)
	}
}

func BenchmarkEvaluate(b *testing.B) {
	r := rand.New(rand.NewSource(1))
	for _, n := range []int{10, 100, 1000} {
		x := make([]float64, n)
		for i := range x {
			x[i] = 100 + 5*r.NormFloat64()
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Evaluate(Sample{[][]float64{x}}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func ExampleEvaluate() {
	a, err := Evaluate(Sample{[][]float64{worked}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: B-value %.1f MPa, A-value %.1f MPa\n", a.Fits[a.Chosen].Name, a.B(), a.A())
	// Output: Weibull: B-value 125.4 MPa, A-value 109.2 MPa
}
