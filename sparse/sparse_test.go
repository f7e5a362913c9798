package sparse

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// plate returns the matrix of an nx by ny grid of bilinear squares with two
// unknowns at each node, made positive definite by a stiff bed, and where its
// unknowns lie.
func plate(nx, ny int) (*Symmetric, [][2]float64) {
	var groups [][]int32
	for y := range ny {
		for x := range nx {
			c := int32(y*(nx+1) + x)
			var g []int32
			for _, k := range []int32{c, c + 1, c + int32(nx) + 1, c + int32(nx) + 2} {
				g = append(g, 2*k, 2*k+1)
			}
			groups = append(groups, g)
		}
	}
	n := 2 * (nx + 1) * (ny + 1)
	a := NewPattern(n, groups)
	for _, g := range groups {
		for p, i := range g {
			for q, j := range g {
				if i >= j {
					v := -1 / (1 + math.Abs(float64(p-q)))
					if i == j {
						v = 4.2
					}
					a.Val[a.Index(int(i), int(j))] += v
				}
			}
		}
	}
	at := make([][2]float64, n)
	for i := range at {
		k := i / 2
		at[i] = [2]float64{float64(k % (nx + 1)), float64(k / (nx + 1))}
	}
	return a, at
}

func TestSolvePlate(t *testing.T) {
	a, at := plate(17, 11)
	r := rand.New(rand.NewPCG(1, 2))
	want := make([]float64, 3*a.N)
	b := make([]float64, 3*a.N)
	for i := range want {
		want[i] = r.NormFloat64()
	}
	for c := range 3 {
		a.MulVec(b[c*a.N:], want[c*a.N:(c+1)*a.N])
	}
	s, err := Analyze(a, Settings{Coords: at})
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.Factorize(a)
	if err != nil {
		t.Fatal(err)
	}
	f.Solve(b, 3)
	for i := range want {
		if math.Abs(b[i]-want[i]) > 1e-10 {
			t.Fatalf("unknown %d: got %g, want %g", i, b[i], want[i])
		}
	}
	a.Val[a.Index(100, 100)] = -1
	err = f.Refactorize(a)
	var npd *NotPositiveDefiniteError
	if !errors.As(err, &npd) {
		t.Fatalf("got %v, want a NotPositiveDefiniteError", err)
	}
}
