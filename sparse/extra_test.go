package sparse

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dense returns the matrix in full.
func dense(a *Symmetric) *mat.SymDense {
	d := mat.NewSymDense(a.N, nil)
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			d.SetSym(int(a.Row[p]), j, a.Val[p])
		}
	}
	return d
}

// random returns a positive definite matrix with about the given number of
// entries in a row.
func random(r *rand.Rand, n, entries int) *Symmetric {
	var groups [][]int32
	for range n * entries / 4 {
		groups = append(groups, []int32{int32(r.IntN(n)), int32(r.IntN(n))})
	}
	a := NewPattern(n, groups)
	sum := make([]float64, n)
	for j := range n {
		for p := a.ColPtr[j] + 1; p < a.ColPtr[j+1]; p++ {
			a.Val[p] = r.NormFloat64()
			sum[j] += math.Abs(a.Val[p])
			sum[a.Row[p]] += math.Abs(a.Val[p])
		}
	}
	for j := range n {
		a.Val[a.ColPtr[j]] = sum[j] + 0.1 + r.Float64()
	}
	return a
}

func factorOf(t *testing.T, a *Symmetric, s Settings) *Factor {
	t.Helper()
	y, err := Analyze(a, s)
	if err != nil {
		t.Fatal(err)
	}
	f, err := y.Factorize(a)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestSolveAgreesWithDenseCholesky(t *testing.T) {
	for _, n := range []int{1, 2, 3, 7, 20, 100, 300, 700} {
		for _, entries := range []int{0, 2, 5, 40} {
			r := rand.New(rand.NewPCG(uint64(n), uint64(entries)))
			a := random(r, n, entries)
			f := factorOf(t, a, Settings{})
			const columns = 5
			b := make([]float64, n*columns)
			for i := range b {
				b[i] = r.NormFloat64()
			}
			var c mat.Cholesky
			if !c.Factorize(dense(a)) {
				t.Fatal("reference failed")
			}
			for k := range columns {
				var want mat.VecDense
				if err := c.SolveVecTo(&want, mat.NewVecDense(n, slices.Clone(b[k*n:(k+1)*n]))); err != nil {
					t.Fatal(err)
				}
				x := slices.Clone(b[k*n : (k+1)*n])
				f.Solve(x, 1)
				for i, v := range x {
					if math.Abs(v-want.AtVec(i)) > 1e-12*(1+math.Abs(v))*float64(n) {
						t.Fatalf("n %d entries %d: x[%d] = %g, want %g", n, entries, i, v, want.AtVec(i))
					}
				}
			}
			three := slices.Clone(b[n*2:])
			f.Solve(three, 3)
			f.Solve(b, columns)
			if !slices.Equal(three, b[n*2:]) {
				t.Fatalf("n %d: solving three and solving five differ", n)
			}
		}
	}
}

func TestWorkersReturnTheSameBits(t *testing.T) {
	a, at := plate(60, 45)
	for _, s := range []Settings{{}, {Ordering: NestedDissection}, {Ordering: NestedDissection, Coords: at}} {
		var first []float64
		for _, workers := range []int{1, 2, 3, 7} {
			s.Workers = workers
			f := factorOf(t, a, s)
			b := make([]float64, 19*a.N)
			for i := range b {
				b[i] = math.Sin(float64(i))
			}
			f.Solve(b, 15) // fronts of the trunk are shared
			f.Solve(b[15*a.N:], 3)
			f.Solve(b[18*a.N:], 1)
			many := make([]float64, 19*a.N) // groups of right-hand sides
			for i := range many {
				many[i] = math.Sin(float64(i))
			}
			f.Solve(many, 19)
			if !slices.Equal(many[:18*a.N], b[:18*a.N]) {
				t.Fatalf("%d workers: right-hand sides in groups differ from those together", workers)
			}
			if first == nil {
				first = b
			} else if !slices.Equal(b, first) {
				t.Fatalf("%d workers: other bits than with one", workers)
			}
		}
	}
}

func TestRefactorizeKeepsMemoryAndBits(t *testing.T) {
	a, at := plate(30, 20)
	f := factorOf(t, a, Settings{Coords: at, Workers: 1})
	before := slices.Clone(f.inv)
	for i := range f.shared {
		f.shared[i] = math.NaN()
	}
	for i := range f.val {
		f.val[i] = math.NaN()
	}
	for i := range f.space[0] {
		f.space[0][i] = math.NaN()
	}
	if n := testing.AllocsPerRun(3, func() {
		if err := f.Refactorize(a); err != nil {
			t.Fatal(err)
		}
	}); n > 0 {
		t.Errorf("%g allocations in a refactorisation", n)
	}
	if !slices.Equal(before, f.inv) {
		t.Error("other values the second time: unused storage was read")
	}
}

func TestNumberingDoesNotMatter(t *testing.T) {
	a, _ := plate(20, 14)
	r := rand.New(rand.NewPCG(8, 9))
	perm := r.Perm(a.N)
	var list []triple
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			i, k := perm[a.Row[p]], perm[j]
			list = append(list, triple{int32(max(i, k)), int32(min(i, k)), a.Val[p]})
		}
	}
	other := fromTriples(a.N, list)
	x, z := make([]float64, a.N), make([]float64, a.N)
	for i := range x {
		x[i] = r.NormFloat64()
		z[perm[i]] = x[i]
	}
	factorOf(t, a, Settings{}).Solve(x, 1)
	factorOf(t, other, Settings{}).Solve(z, 1)
	for i := range x {
		if math.Abs(x[i]-z[perm[i]]) > 1e-11 {
			t.Fatalf("unknown %d: %g and %g", i, x[i], z[perm[i]])
		}
	}
}

func TestBadPivotIsNamed(t *testing.T) {
	singular := NewPattern(4, [][]int32{{0, 1}, {2, 3}})
	for _, i := range []int{0, 1, 2, 3} {
		singular.Val[singular.Index(i, i)] = 1
	}
	singular.Val[singular.Index(0, 1)] = 1
	indefinite, _ := plate(40, 40)
	indefinite.Val[indefinite.Index(1234, 1234)] = -5
	nan, _ := plate(10, 10)
	nan.Val[nan.Index(7, 7)] = math.NaN()
	for _, row := range []struct {
		name string
		a    *Symmetric
		at   []int
	}{{"singular", singular, []int{0, 1}}, {"indefinite", indefinite, []int{1234}}, {"not a number", nan, nil}} {
		y, err := Analyze(row.a, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = y.Factorize(row.a)
		var npd *NotPositiveDefiniteError
		if !errors.As(err, &npd) {
			t.Errorf("%s: got %v, want a NotPositiveDefiniteError", row.name, err)
		} else if row.name == "singular" && !slices.Contains(row.at, npd.Column) {
			t.Errorf("%s: column %d, want one of %v", row.name, npd.Column, row.at)
		}
	}
}

func TestCancelStops(t *testing.T) {
	a, _ := plate(10, 10)
	if _, err := Analyze(a, Settings{Cancel: func() bool { return true }}); !errors.Is(err, ErrCancelled) {
		t.Errorf("analysis: got %v", err)
	}
	stop := false
	y, err := Analyze(a, Settings{Workers: 1, Cancel: func() bool { return stop }})
	if err != nil {
		t.Fatal(err)
	}
	stop = true
	if _, err := y.Factorize(a); !errors.Is(err, ErrCancelled) {
		t.Errorf("factorisation: got %v", err)
	}
}

func TestMemoryIsKnownBefore(t *testing.T) {
	a, _ := plate(60, 40)
	y, err := Analyze(a, Settings{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	f, err := y.Factorize(a)
	if err != nil {
		t.Fatal(err)
	}
	held := 8 * (len(f.val) + len(f.inv) + len(f.shared) + len(f.space[0]) + len(f.space[1]) + len(y.rowPtr) + len(y.valPtr) + len(y.updPtr) + len(y.entryPtr))
	held += 4 * (len(y.perm) + len(y.rows) + len(y.entry) + len(y.offset) + 3*len(y.runs))
	if got := y.Stats().Bytes; got < held || got > held+held/10 {
		t.Errorf("%d bytes foretold, %d held", got, held)
	}
}

// hilbert is a matrix of large, known condition number.
func hilbert(n int) *Symmetric {
	all := make([]int32, n)
	for i := range all {
		all[i] = int32(i)
	}
	a := NewPattern(n, [][]int32{all})
	for j := range n {
		for i := j; i < n; i++ {
			a.Val[a.Index(i, j)] = 1 / float64(i+j+1)
		}
	}
	return a
}

func TestConditionOfHilbertMatrices(t *testing.T) {
	// 1-norm condition numbers: N. J. Higham, Accuracy and Stability of Numerical
	// Algorithms, 2nd ed., SIAM 2002, section 28.1 gives 4.8e5 (n = 5, 2-norm);
	// the values here are from the exact integer inverse.
	for n, want := range map[int]float64{2: 27, 3: 748, 4: 28375, 5: 943656} {
		a := hilbert(n)
		got := factorOf(t, a, Settings{}).Condition(a)
		if math.Abs(got-want) > 1e-6*want {
			t.Errorf("order %d: got %g, want %g", n, got, want)
		}
	}
}

func TestRefinementReachesRounding(t *testing.T) {
	for _, a := range []*Symmetric{hilbert(9), random(rand.New(rand.NewPCG(4, 4)), 500, 8)} {
		f := factorOf(t, a, Settings{})
		b, x := make([]float64, a.N), make([]float64, a.N)
		for i := range b {
			b[i] = math.Cos(float64(i))
		}
		got := f.SolveRefined(a, x, b)
		if !(got.BackwardError <= 1e-15) || a.BackwardError(x, b) != got.BackwardError {
			t.Errorf("order %d: backward error %g after %d steps, recomputed %g", a.N, got.BackwardError, got.Steps, a.BackwardError(x, b))
		}
	}
}

func TestConjugateGradientAgreesWithFactor(t *testing.T) {
	a, _ := plate(30, 30)
	b := make([]float64, a.N)
	for i := range b {
		b[i] = math.Sin(float64(3 * i))
	}
	want := slices.Clone(b)
	factorOf(t, a, Settings{}).Solve(want, 1)
	c, err := NewIncomplete(a)
	if err != nil {
		t.Fatal(err)
	}
	var steps [2]int
	for k, pre := range []*Incomplete{nil, c} {
		x := make([]float64, a.N)
		steps[k], err = ConjugateGradient(a, x, b, pre, Iteration{Tolerance: 1e-12})
		if err != nil {
			t.Fatal(err)
		}
		for i := range x {
			if math.Abs(x[i]-want[i]) > 1e-9 {
				t.Fatalf("x[%d] = %g, want %g", i, x[i], want[i])
			}
		}
	}
	if steps[1] >= steps[0] {
		t.Errorf("%d steps with the incomplete factor, %d without", steps[1], steps[0])
	}
	var short *NotConvergedError
	if _, err := ConjugateGradient(a, make([]float64, a.N), b, nil, Iteration{Steps: 2}); !errors.As(err, &short) {
		t.Errorf("got %v, want a NotConvergedError", err)
	}
}

func TestEigenvaluesOfAString(t *testing.T) {
	// fixed string of n masses: λ = 4·sin²(kπ/(2n+2))
	const n = 200
	var groups [][]int32
	for i := range int32(n - 1) {
		groups = append(groups, []int32{i, i + 1})
	}
	a, m := NewPattern(n, groups), NewPattern(n, nil)
	for i := range n {
		a.Val[a.Index(i, i)], m.Val[i] = 2, 1
		if i > 0 {
			a.Val[a.Index(i, i-1)] = -1
		}
	}
	f := factorOf(t, a, Settings{})
	values, vectors, err := Eigen(f, a, m, Spectrum{Count: 6})
	if err != nil {
		t.Fatal(err)
	}
	for k, got := range values {
		s := math.Sin(float64(k+1) * math.Pi / (2*n + 2))
		if want := 4 * s * s; math.Abs(got-want) > 1e-9*want {
			t.Errorf("eigenvalue %d: got %.12g, want %.12g", k, got, want)
		}
		x, ax := vectors[k*n:(k+1)*n], make([]float64, n)
		a.MulVec(ax, x)
		for i := range ax {
			if math.Abs(ax[i]-got*x[i]) > 1e-6*largest(ax) {
				t.Fatalf("vector %d: residual %g at %d", k, ax[i]-got*x[i], i)
			}
		}
	}
	m.Val[0] = -1 // not definite: still the least positive ones
	for i := 1; i < n; i++ {
		m.Val[i] = 0
	}
	m.Val[5], m.Val[100] = 2, 3
	values, _, err = Eigen(f, a, m, Spectrum{Count: 3})
	if err != nil || len(values) != 2 {
		t.Errorf("two positive eigenvalues wanted, got %v, %v", values, err)
	}
}

// Springs side by side, in groups of equals, and a square membrane have multiple
// eigenvalues: all are found.
func TestMultipleEigenvalues(t *testing.T) {
	const groups, copies = 40, 5
	a, m := NewPattern(groups*copies, nil), NewPattern(groups*copies, nil)
	for i := range a.N {
		a.Val[i], m.Val[i] = 1+float64(i%groups), 1
	}
	values, vectors, err := Eigen(factorOf(t, a, Settings{}), a, m, Spectrum{Count: 13})
	if err != nil {
		t.Fatal(err)
	}
	for k, got := range values {
		if want := 1 + float64(k/copies); k < 2*copies && math.Abs(got-want) > 1e-9 {
			t.Errorf("eigenvalue %d: %g, want %g", k, got, want)
		}
		for c := range k {
			if d := dot(vectors[k*a.N:(k+1)*a.N], vectors[c*a.N:(c+1)*a.N]); math.Abs(d) > 1e-9 {
				t.Errorf("vectors %d and %d are not orthogonal: %g", c, k, d)
			}
		}
	}
	// A square membrane on n by n points: λ = 4·(sin² + sin²), most of them double.
	const n = 30
	list := [][]int32{}
	for i := range int32(n * n) {
		if i%n < n-1 {
			list = append(list, []int32{i, i + 1})
		}
		if i < n*(n-1) {
			list = append(list, []int32{i, i + n})
		}
	}
	a, m = NewPattern(n*n, list), NewPattern(n*n, nil)
	for j := range a.N {
		m.Val[j] = 1
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			a.Val[p] = -1
		}
		a.Val[a.ColPtr[j]] = 4
	}
	var want []float64
	for i := 1; i <= n; i++ {
		for j := 1; j <= n; j++ {
			x, y := math.Sin(float64(i)*math.Pi/(2*n+2)), math.Sin(float64(j)*math.Pi/(2*n+2))
			want = append(want, 4*(x*x+y*y))
		}
	}
	slices.Sort(want)
	for count := 1; count <= 12; count++ {
		values, _, err = Eigen(factorOf(t, a, Settings{}), a, m, Spectrum{Count: count})
		if err != nil || len(values) != count {
			t.Fatalf("%d wanted: %d, %v", count, len(values), err)
		}
		for k, got := range values[:count-1] {
			if math.Abs(got-want[k]) > 1e-9*want[k] {
				t.Errorf("%d wanted: eigenvalue %d is %.12g, want %.12g", count, k, got, want[k])
			}
		}
	}
}

func TestMarketRoundTrip(t *testing.T) {
	a := random(rand.New(rand.NewPCG(3, 3)), 50, 6)
	var text bytes.Buffer
	if err := a.WriteMarket(&text); err != nil {
		t.Fatal(err)
	}
	b, err := ReadMarket(bytes.NewReader(text.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if b.N != a.N || !slices.Equal(a.ColPtr, b.ColPtr) || !slices.Equal(a.Row, b.Row) || !slices.Equal(a.Val, b.Val) {
		t.Error("matrix changed on the way")
	}
}

func TestMarketFaultsNameTheLine(t *testing.T) {
	for text, want := range map[string]string{
		"":                                   "line 1",
		"%%MatrixMarket matrix array real\n": "line 1",
		marketHead + "\n% c\n3 3 1\n4 1 1\n": "line 4",
		marketHead + "\n3 3 2\n1 1 1\n":      "ends early",
		marketHead + "\n3 3 1\n1 1 inf\n":    "no finite number",
		marketHead + "\n3 2 1\n1 1 1\n":      "square",
		marketHead + "\n999999 999999 0\n":   "most rows",
	} {
		if _, err := ReadMarket(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want something with %q", text, err, want)
		}
	}
}

func FuzzReadMarket(f *testing.F) {
	f.Add(marketHead + "\n% note\n2 2 3\n1 1 4\n2 1 1e-3\n2 2 5\n")
	f.Add(marketHead + "\n1 1 0\n")
	f.Fuzz(func(t *testing.T, text string) {
		a, err := ReadMarket(strings.NewReader(text))
		if err != nil {
			return
		}
		if err := a.validate(); err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := a.WriteMarket(&out); err != nil {
			t.Fatal(err)
		}
		b, err := ReadMarket(&out)
		if err != nil || !slices.Equal(a.Row, b.Row) {
			t.Fatalf("does not read back: %v", err)
		}
	})
}

func TestGraphsWithoutExtent(t *testing.T) {
	for _, name := range []string{"star", "loose", "chain of cliques", "clique"} {
		n := 3000
		var groups [][]int32
		for i := range int32(n) {
			switch name {
			case "star":
				groups = append(groups, []int32{0, i})
			case "chain of cliques":
				groups = append(groups, []int32{i, i / 7 * 7, min(int32(n-1), i/7*7+7)})
			case "clique":
				n = 300
				if i == 0 {
					groups = append(groups, make([]int32, n))
					for k := range groups[0] {
						groups[0][k] = int32(k)
					}
				}
			}
		}
		a := NewPattern(n, groups)
		for j := range n {
			for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
				a.Val[p] = -1
				if int(a.Row[p]) == j {
					a.Val[p] = float64(n)
				}
			}
		}
		for _, how := range []Ordering{MinimumDegree, NestedDissection} {
			f := factorOf(t, a, Settings{Ordering: how})
			b, x := make([]float64, n), make([]float64, n)
			b[n/2] = 1
			copy(x, b)
			f.Solve(x, 1)
			if e := a.BackwardError(x, b); !(e < 1e-14) {
				t.Errorf("%s, ordering %d: backward error %g", name, how, e)
			}
			if fill := f.s.Stats().Fill; name == "star" && fill > 20*n {
				t.Errorf("star, ordering %d: fill %d for %d unknowns", how, fill, n)
			}
		}
	}
}

// saddle returns [K Bᵀ; B 0] for a plate held by rows of B, and its negative
// eigenvalues: one for each row.
func saddle(nx, ny int) (*Symmetric, int) {
	k, _ := plate(nx, ny)
	var list []triple
	for j := range k.N {
		for p := k.ColPtr[j]; p < k.ColPtr[j+1]; p++ {
			list = append(list, triple{k.Row[p], int32(j), k.Val[p]})
		}
	}
	n := int32(k.N)
	for i := int32(0); i < int32(k.N); i += 11 {
		list = append(list, triple{n, i, 1}, triple{n, i + 1, -0.5}, triple{n, n, 0})
		n++
	}
	return fromTriples(int(n), list), int(n) - k.N
}

func TestSaddlePoints(t *testing.T) {
	for _, size := range [][2]int{{3, 2}, {20, 13}, {60, 50}} {
		a, rows := saddle(size[0]+10, size[1])
		var first []float64
		for _, workers := range []int{1, 2} {
			y, err := Analyze(a, Settings{Workers: workers})
			if err != nil {
				t.Fatal(err)
			}
			f, err := y.FactorizeIndefinite(a)
			if err != nil {
				t.Fatal(err)
			}
			if _, negative := f.Inertia(); f.Perturbed() != 0 || negative != rows {
				t.Errorf("%v: %d negative pivots, %d replaced; want %d and none", size, negative, f.Perturbed(), rows)
			}
			b, x := make([]float64, a.N), make([]float64, a.N)
			for i := range b {
				b[i] = math.Cos(float64(i))
			}
			if got := f.SolveRefined(a, x, b); !(got.BackwardError < 1e-14) {
				t.Errorf("%v: backward error %g, %d pivots replaced", size, got.BackwardError, f.Perturbed())
			}
			if first == nil {
				first = x
			} else if !slices.Equal(first, x) {
				t.Errorf("%v: two workers give other bits", size)
			}
		}
	}
}

func TestOrderGivenIsUsedOrRefused(t *testing.T) {
	a, _ := plate(6, 5)
	back := make([]int32, a.N)
	for i := range back {
		back[i] = int32(a.N - 1 - i)
	}
	b, x := make([]float64, a.N), make([]float64, a.N)
	b[3] = 1
	copy(x, b)
	factorOf(t, a, Settings{Order: back}).Solve(x, 1)
	if e := a.BackwardError(x, b); !(e < 1e-15) {
		t.Errorf("backward error %g", e)
	}
	twice := slices.Clone(back)
	twice[0] = twice[1]
	other := NewPattern(a.N, nil)
	for name, err := range map[string]error{
		"order too short":       second(Analyze(a, Settings{Order: back[1:]})),
		"order names one twice": second(Analyze(a, Settings{Order: twice})),
		"coordinates too few":   second(Analyze(a, Settings{Coords: make([][2]float64, 3)})),
		"row above diagonal":    second(Analyze(&Symmetric{N: 2, ColPtr: []int{0, 1, 2}, Row: []int32{0, 0}}, Settings{})),
		"other pattern":         factorOf(t, a, Settings{}).Refactorize(other),
	} {
		var p *PatternError
		if !errors.As(err, &p) {
			t.Errorf("%s: got %v, want a PatternError", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
