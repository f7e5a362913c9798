package sparse

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// inertiaOf counts eigenvalues above and below zero, by dense eigenvalues.
func inertiaOf(t *testing.T, a *Symmetric) (positive, negative int) {
	t.Helper()
	var e mat.EigenSym
	if !e.Factorize(dense(a), false) {
		t.Fatal("reference failed")
	}
	for _, v := range e.Values(nil) {
		if v > 0 {
			positive++
		} else {
			negative++
		}
	}
	return positive, negative
}

// shuffled fills a pattern with random values.
func shuffled(a *Symmetric, r *rand.Rand) *Symmetric {
	for p := range a.Val {
		a.Val[p] = r.NormFloat64()
	}
	return a
}

// hollow is a random matrix with zeros on its diagonal; a perfect matching among
// its entries keeps it regular.
func hollow(r *rand.Rand, n, entries int) *Symmetric {
	var groups [][]int32
	for i := int32(0); i < int32(n); i += 2 {
		groups = append(groups, []int32{i, i + 1})
	}
	for range n * entries / 2 {
		groups = append(groups, []int32{int32(r.IntN(n)), int32(r.IntN(n))})
	}
	a := shuffled(NewPattern(n, groups), r)
	for j := range n {
		a.Val[a.ColPtr[j]] = 0
	}
	return a
}

// kkt returns [K Bᵀ; B 0] of random definite K of order n and m rows of B with
// four entries each; every second row is the one before but for a part eps of
// its entries.
func kkt(r *rand.Rand, n, m int, eps float64) *Symmetric {
	k := random(r, n, 5)
	list := triplesOf(k)
	row := map[int32]float64{}
	for i := range m {
		if i%2 == 0 || eps == 1 {
			row = map[int32]float64{}
			for len(row) < 4 {
				row[int32(r.IntN(n))] = r.NormFloat64()
			}
		}
		for _, c := range slices.Sorted(keys(row)) {
			v := row[c]
			if i%2 == 1 && eps < 1 {
				v *= 1 + eps*r.NormFloat64()
			}
			list = append(list, triple{int32(n + i), c, v})
		}
		list = append(list, triple{int32(n + i), int32(n + i), 0})
	}
	return fromTriples(n+m, list)
}

func keys(m map[int32]float64) func(func(int32) bool) {
	return func(yield func(int32) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

func triplesOf(a *Symmetric) []triple {
	var list []triple
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			list = append(list, triple{a.Row[p], int32(j), a.Val[p]})
		}
	}
	return list
}

// unevenly scales rows and columns over twelve decades.
func unevenly(a *Symmetric, r *rand.Rand) *Symmetric {
	s := make([]float64, a.N)
	for i := range s {
		s[i] = math.Pow(10, 12*r.Float64()-6)
	}
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			a.Val[p] *= s[j] * s[a.Row[p]]
		}
	}
	return a
}

// shifted is a plate's stiffness less a multiple of the unit matrix that lies
// within its spectrum.
func shifted(share float64) *Symmetric {
	a, _ := plate(6, 5)
	for j := range a.N {
		a.Val[a.ColPtr[j]] -= share * largest(a.Val)
	}
	return a
}

// pairs is the block diagonal of [0 1; 1 0], each pair far apart.
func pairs(n int) *Symmetric {
	var list []triple
	for i := range int32(n) {
		list = append(list, triple{i, i, 0}, triple{int32(n) + i, i, 1}, triple{int32(n) + i, int32(n) + i, 0})
	}
	return fromTriples(2*n, list)
}

// TestIndefiniteAgreesWithDense factorises saddle points and other indefinite
// matrices in unhelpful orders, and compares inertia and solution with dense
// references.
func TestIndefiniteAgreesWithDense(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	small, _ := plate(5, 4)
	rows := []struct {
		name string
		a    *Symmetric
	}{
		{"hollow, sparse", hollow(r, 200, 2)},
		{"hollow, dense", hollow(r, 60, 100)},
		{"random on a plate", shuffled(small, r)},
		{"pairs", pairs(40)},
		{"plate with multipliers", second1(saddle(6, 5))},
		{"KKT", kkt(r, 120, 50, 1)},
		{"KKT, as many rows as half the unknowns", kkt(r, 100, 50, 1)},
		{"KKT, rows equal to 1e-6", kkt(r, 120, 40, 1e-6)},
		{"KKT, badly scaled", unevenly(kkt(r, 120, 50, 1), r)},
		{"hollow, badly scaled", unevenly(hollow(r, 200, 2), r)},
		{"shifted a little", shifted(0.01)},
		{"shifted far", shifted(0.4)},
	}
	for _, row := range rows {
		for _, how := range []string{"degree", "dissection", "as given", "last first"} {
			t.Run(row.name+", "+how, func(t *testing.T) { holdIndefinite(t, row.a, how) })
		}
	}
}

// second1 drops the second of two results.
func second1[T, U any](v T, _ U) T { return v }

func holdIndefinite(t *testing.T, a *Symmetric, how string) {
	s := Settings{Workers: 2}
	switch how {
	case "dissection":
		s.Ordering = NestedDissection
	case "as given", "last first":
		for i := range int32(a.N) {
			s.Order = append(s.Order, i)
		}
		if how == "last first" {
			slices.Reverse(s.Order)
		}
	}
	y, err := Analyze(a, s)
	if err != nil {
		t.Fatal(err)
	}
	f, err := y.FactorizeIndefinite(a)
	if err != nil {
		t.Fatal(err)
	}
	if f.Perturbed() != 0 {
		t.Errorf("%d pivots replaced in a regular matrix", f.Perturbed())
	}
	scaledA := a // eigenvalues of a badly scaled matrix lose their signs: congruence keeps them
	if f.scale != nil {
		scaledA = &Symmetric{N: a.N, ColPtr: a.ColPtr, Row: a.Row, Val: f.scaled}
	}
	wantP, wantN := inertiaOf(t, scaledA)
	if p, n := f.Inertia(); p != wantP || n != wantN {
		t.Errorf("inertia %d, %d, want %d, %d", p, n, wantP, wantN)
	}
	b, x := make([]float64, a.N), make([]float64, a.N)
	for i := range b {
		b[i] = math.Cos(float64(i))
	}
	copy(x, b)
	f.Solve(x, 1)
	// growth of at most 1/threshold in a few steps costs a few digits at worst
	if e := a.BackwardError(x, b); !(e <= 1e-13) {
		t.Errorf("backward error before refinement %g", e)
	}
	if got := f.SolveRefined(a, x, b); !(got.BackwardError <= 1e-14) {
		t.Errorf("backward error %g", got.BackwardError)
	}
	if f.scale != nil {
		return // the dense reference does not scale
	}
	var want mat.VecDense
	if err := want.SolveVec(dense(a), mat.NewVecDense(a.N, b)); err != nil {
		if _, ill := err.(mat.Condition); !ill {
			t.Fatal(err)
		}
	}
	// Two backward-stable solutions agree to the condition times rounding.
	bound := 1e-14 * f.Condition(a) * largest(x)
	for i, v := range x {
		if math.Abs(v-want.AtVec(i)) > bound {
			t.Fatalf("x[%d] = %g, want %g within %g", i, v, want.AtVec(i), bound)
		}
	}
}

// Many small matrices: random patterns with and without diagonal, entries of a few
// values so that pivots cancel, and rows of unlike size.
func TestRandomIndefinite(t *testing.T) {
	singular := 0
	for seed := range uint64(600) {
		r := rand.New(rand.NewPCG(seed, 17))
		n := 1 + r.IntN(40)
		var groups [][]int32
		for range r.IntN(4 * n) {
			groups = append(groups, []int32{int32(r.IntN(n)), int32(r.IntN(n))})
		}
		a := NewPattern(n, groups)
		for p := range a.Val {
			if a.Val[p] = float64(r.IntN(5) - 2); seed%3 == 1 {
				a.Val[p] = r.NormFloat64()
			}
		}
		if seed%4 == 2 {
			unevenly(a, r)
		}
		y, err := Analyze(a, Settings{Ordering: NestedDissection, Workers: 1 + int(seed%2)})
		if err != nil {
			t.Fatal(err)
		}
		f, err := y.FactorizeIndefinite(a)
		if largest(a.Val) == 0 {
			if err == nil {
				t.Errorf("seed %d: a matrix of zeros is factorised", seed)
			}
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		want, b, x := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range want {
			want[i] = r.NormFloat64()
		}
		a.MulVec(b, want)
		if got := f.SolveRefined(a, x, b); !(got.BackwardError <= 1e-14) {
			t.Errorf("seed %d: backward error %g, %d pivots replaced", seed, got.BackwardError, f.Perturbed())
		}
		if f.scale != nil {
			continue
		}
		var e mat.EigenSym
		if !e.Factorize(dense(a), false) {
			t.Fatal("reference failed")
		}
		var count [3]int // below zero, zero to rounding, above
		for _, v := range e.Values(nil) {
			switch zero := 1e-13 * a.Norm(); {
			case v < -zero:
				count[0]++
			case v <= zero:
				count[1]++
			default:
				count[2]++
			}
		}
		if count[1] > 0 {
			singular++
		}
		// what is left of a zero eigenvalue may be rounding that passes for a pivot
		if p, q := f.Inertia(); p < count[2] || q < count[0] || p+q+f.Perturbed() != n || count[1] == 0 && f.Perturbed() > 0 {
			t.Errorf("seed %d, n %d: %d above, %d below, %d replaced; want %v", seed, n, p, q, f.Perturbed(), count)
		}
	}
	if singular < 50 {
		t.Errorf("%d singular matrices tried, too few", singular)
	}
}

// TestExchangesReturnTheSameBits holds for matrices in which nearly every front
// exchanges pivots, large enough that the workers share some.
func TestExchangesReturnTheSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	mesh, _ := plate(36, 30)
	many, _ := saddle(50, 40)
	for name, a := range map[string]*Symmetric{
		"random": shuffled(mesh, r), "saddle": many, "hollow": hollow(r, 3000, 2),
	} {
		const columns = 5
		var first []float64
		for _, workers := range []int{1, 2, 3} {
			y, err := Analyze(a, Settings{Workers: workers, Ordering: NestedDissection})
			if err != nil {
				t.Fatal(err)
			}
			f, err := y.FactorizeIndefinite(a)
			if err != nil {
				t.Fatal(err)
			}
			exchanged, passed := 0, 0
			for _, q := range f.pivoted {
				if q != nil {
					exchanged++
					passed += q.passed()
				}
			}
			if exchanged == 0 || passed == 0 {
				t.Fatalf("%s: %d fronts exchange, %d pivots are passed on: nothing is tried", name, exchanged, passed)
			}
			b := make([]float64, (columns+1)*a.N)
			for i := range b {
				b[i] = math.Sin(float64(i))
			}
			given := slices.Clone(b)
			f.Solve(b, columns)
			f.Solve(b[columns*a.N:], 1)
			for c := range columns + 1 {
				if e := a.BackwardError(b[c*a.N:(c+1)*a.N], given[c*a.N:(c+1)*a.N]); !(e < 1e-13) {
					t.Errorf("%s, column %d: backward error %g", name, c, e)
				}
			}
			if first == nil {
				first = b
			} else if !slices.Equal(first, b) {
				t.Errorf("%s: %d workers give other bits", name, workers)
			}
			if err := f.Refactorize(a); err != nil {
				t.Fatal(err)
			}
			again := slices.Clone(given)
			f.Solve(again, columns)
			if !slices.Equal(again[:columns*a.N], b[:columns*a.N]) {
				t.Errorf("%s: a second factorisation gives other bits", name)
			}
		}
	}
}

// TestSingularIsCounted gives matrices of known rank; a system that has solutions
// is still solved.
func TestSingularIsCounted(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	equal := kkt(r, 80, 20, 0)
	loose := fromTriples(5, []triple{{0, 0, 2}, {1, 1, 0}, {2, 1, 0}, {2, 2, 0}, {3, 3, -1}, {4, 3, 1}, {4, 4, 3}})
	for _, row := range []struct {
		name      string
		a         *Symmetric
		zero, neg int
	}{
		// each pair of equal rows of B is one zero eigenvalue, the ten others below zero
		{"KKT with equal rows", equal, 10, 10},
		{"zero rows", loose, 2, 1},
	} {
		y, err := Analyze(row.a, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		f, err := y.FactorizeIndefinite(row.a)
		if err != nil {
			t.Fatal(err)
		}
		if p, n := f.Inertia(); f.Perturbed() != row.zero || n != row.neg || p != row.a.N-row.zero-row.neg {
			t.Errorf("%s: %d above, %d below, %d zero; want %d below and %d zero", row.name, p, n, f.Perturbed(), row.neg, row.zero)
		}
		want, b, x := make([]float64, row.a.N), make([]float64, row.a.N), make([]float64, row.a.N)
		for i := range want {
			want[i] = math.Cos(float64(i))
		}
		row.a.MulVec(b, want)
		if got := f.SolveRefined(row.a, x, b); !(got.BackwardError <= 1e-14) {
			t.Errorf("%s: backward error %g", row.name, got.BackwardError)
		}
	}
}

// Rows that differ by less than rounding resolves: whether their pivots count as
// zero is open, the backward error is not.
func TestNearlySingularIsSolved(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, eps := range []float64{1e-7, 1e-8, 1e-10, 1e-14} {
		for _, how := range []Ordering{MinimumDegree, NestedDissection} {
			a := kkt(r, 600, 200, eps)
			y, err := Analyze(a, Settings{Ordering: how})
			if err != nil {
				t.Fatal(err)
			}
			f, err := y.FactorizeIndefinite(a)
			if err != nil {
				t.Fatal(err)
			}
			b, x := make([]float64, a.N), make([]float64, a.N)
			for i := range b {
				b[i] = math.Cos(float64(i))
			}
			if got := f.SolveRefined(a, x, b); !(got.BackwardError <= 1e-14) {
				t.Errorf("rows equal to %g: backward error %g, %d pivots replaced", eps, got.BackwardError, f.Perturbed())
			}
		}
	}
}

func TestIndefiniteFaults(t *testing.T) {
	zero := fromTriples(3, []triple{{0, 0, 0}, {1, 1, 0}, {2, 1, 0}, {2, 2, 0}})
	for name, v := range map[string]float64{"zero": 0, "not a number": math.NaN(), "infinite": math.Inf(1)} {
		zero.Val[2] = v
		y, err := Analyze(zero, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = y.FactorizeIndefinite(zero)
		if bad, ok := err.(*NotPositiveDefiniteError); !ok {
			t.Errorf("%s: got %v (%v)", name, err, bad)
		}
	}
}

func BenchmarkIndefinite(b *testing.B) {
	r := rand.New(rand.NewPCG(2, 3))
	for _, n := range []int{20, 50, 120} {
		for _, name := range []string{"stiffness", "random"} {
			a, at := plate(n, n)
			if name == "random" {
				shuffled(a, r)
			}
			y, err := Analyze(a, Settings{Coords: at})
			if err != nil {
				b.Fatal(err)
			}
			f, err := y.FactorizeIndefinite(a)
			if err != nil {
				b.Fatal(err)
			}
			b.Run(fmt.Sprintf("%s/%d", name, a.N), func(b *testing.B) {
				for b.Loop() {
					if err := f.Refactorize(a); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
