package coupon

import (
	"math"
	"slices"
)

// outliers returns the value of a batch that stands out most, if it does: by
// the maximum normed residual at 5 % (CMH-17-1G 8.3.3.1)
//
//	C = (n − 1)/√n · √(t²/(n − 2 + t²)),  t = t(1 − 0.05/2n; n − 2)
func outliers(batch int, x []float64) []Outlier {
	n := float64(len(x))
	if len(x) < leastSample {
		return nil
	}
	m, s := moments(x)
	if s == 0 {
		return nil
	}
	o := Outlier{Batch: batch, Critical: outlierLimit(len(x))}
	for i, v := range x {
		if r := math.Abs(v-m) / s; r > o.Residual {
			o.Index, o.Value, o.Residual = i, v, r
		}
	}
	if n < leastSample || o.Residual <= o.Critical {
		return nil
	}
	return []Outlier{o}
}

func outlierLimit(size int) float64 {
	n := float64(size)
	t := tQuantile(1-significant/(2*n), n-2, 0)
	return (n - 1) / math.Sqrt(n) * math.Sqrt(t*t/(n-2+t*t))
}

// kSample returns the k-sample Anderson-Darling statistic over k − 1 and its
// critical value at 2.5 % (Scholz & Stephens 1987, equations 3 to 7, ties as
// mid-ranks; critical value after CMH-17-1G 8.3.2.2). One batch agrees with
// itself: 0 and 0.
func kSample(batches [][]float64) (adk, critical float64) {
	var sets [][]float64
	for _, b := range batches {
		if len(b) > 0 {
			b = slices.Clone(b)
			slices.Sort(b)
			sets = append(sets, b)
		}
	}
	k := float64(len(sets))
	if k < 2 {
		return 0, 0
	}
	all := slices.Concat(sets...)
	slices.Sort(all)
	distinct := slices.Compact(slices.Clone(all))
	n := float64(len(all))
	sum := 0.0
	for _, set := range sets {
		inner := 0.0
		size := float64(len(set))
		for _, z := range distinct[:] {
			h := count(all, z)
			below := float64(lower(all, z)) + h/2
			f := float64(lower(set, z)) + count(set, z)/2
			if den := below*(n-below) - n*h/4; den > 0 {
				inner += h * (n*f - size*below) * (n*f - size*below) / den
			}
		}
		sum += inner / size
	}
	a2 := (n - 1) / (n * n) * sum
	sigma := math.Sqrt(kSampleVariance(sets, n))
	m := k - 1
	return a2 / m, 1 + sigma/m*(1.96+1.149/math.Sqrt(m)-0.391/m)
}

// lower counts the values of a sorted set below z, count those equal to it.
func lower(x []float64, z float64) int {
	i, _ := slices.BinarySearch(x, z)
	return i
}

func count(x []float64, z float64) float64 {
	i := lower(x, z)
	n := 0.0
	for ; i < len(x) && x[i] == z; i++ {
		n++
	}
	return n
}

// kSampleVariance is that of the statistic when all sets have one parent
// (Scholz & Stephens 1987, equation 4).
func kSampleVariance(sets [][]float64, n float64) float64 {
	k := float64(len(sets))
	bigH := 0.0
	for _, s := range sets {
		bigH += 1 / float64(len(s))
	}
	h, g := 0.0, 0.0
	for i := 1.0; i <= n-1; i++ {
		h += 1 / i
	}
	for i := 1.0; i <= n-2; i++ {
		for j := i + 1; j <= n-1; j++ {
			g += 1 / ((n - i) * j)
		}
	}
	a := (4*g-6)*(k-1) + (10-6*g)*bigH
	b := (2*g-4)*k*k + 8*h*k + (2*g-14*h-4)*bigH - 8*h + 4*g - 6
	c := (6*h+2*g-2)*k*k + (4*h-4*g+6)*k + (2*h-6)*bigH + 4*h
	d := (2*h+6)*k*k - 4*h*k
	return (a*n*n*n + b*n*n + c*n + d) / ((n - 1) * (n - 2) * (n - 3))
}
