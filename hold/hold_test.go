package hold

import (
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
	"sinew/internal/grids"
	"sinew/part"
)

// Equations that follow from those before are no news, those against them are
// refused, and what nothing determines stays free.
func TestEchelon(t *testing.T) {
	random := rand.New(rand.NewSource(7))
	for range 50 {
		const n, rank = 7, 4
		x := make([]float64, n)
		for i := range x {
			x[i] = random.NormFloat64()
		}
		rows := make([][]float64, rank)
		e := &echelon{columns: n}
		for r := range rows {
			rows[r] = make([]float64, n+1)
			for c := range x {
				rows[r][c] = random.NormFloat64()
				rows[r][n] += rows[r][c] * x[c]
			}
			if !e.add(rows[r]) {
				t.Fatalf("equation %d is refused", r)
			}
		}
		mix := make([]float64, n+1)
		for _, r := range rows {
			subtract(mix, r, random.NormFloat64())
		}
		if !e.add(mix) || len(e.rows) != rank {
			t.Fatalf("a sum of equations counts as news: %d rows", len(e.rows))
		}
		if mix[n]++; e.add(mix) {
			t.Fatal("an equation against the others is taken")
		}
		if null := e.null(); len(null) != n-rank || len(e.free()) != n-rank {
			t.Fatalf("%d free columns, %d free motions, want %d", len(e.free()), len(null), n-rank)
		}
		for _, v := range e.null() {
			for _, r := range rows {
				sum := 0.0
				for c := range v {
					sum += r[c] * v[c]
				}
				if math.Abs(sum) > 1e-12 {
					t.Fatalf("a free motion gives %g in an equation", sum)
				}
			}
		}
	}
}

// heldRectangle holds a rectangle by all that ties nodes together.
func heldRectangle(t *testing.T, count, workers int) *Set {
	t.Helper()
	p := &part.Part{
		Thickness: 1, Features: grids.Sides(),
		Supports: []part.Support{{Feature: 0, Kind: part.Sliding, Angle: 0.4}, {Feature: 3, Kind: part.Pinned, Spoke: 40, Across: part.Clamped}},
		Cases:    []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Bolt, Force: geom.Point{X: 3, Y: 1}}, {Feature: 2, Kind: part.Bolt, Spoke: 9, Force: geom.Point{X: 3, Y: 1}}}}},
	}
	sets, of, err := NewSets(NewOutline(grids.Rectangle(5, 4, 50, 30), p), Settings{Count: count, Workers: workers})
	if err != nil || len(sets) != 1 || len(of) != 1 {
		t.Fatalf("%d sets: %v", len(sets), err)
	}
	return sets[0]
}

// The matrix over the unknowns is Cᵀ·K·C of the sum K of the cells' matrices,
// for any number of workers to the same bits.
func TestAssembly(t *testing.T) {
	for _, count := range []int{InPlane, Bending} {
		s := heldRectangle(t, count, 1)
		matrix := func(k []float64, tri int) {
			random := rand.New(rand.NewSource(int64(tri)))
			for i := range k {
				k[i] = random.NormFloat64()
			}
		}
		s.AssembleTo(s.Matrix, true, matrix)
		random := rand.New(rand.NewSource(3))
		x, want := make([]float64, s.Unknowns()), make([]float64, s.Unknowns())
		for i := range x {
			x[i] = random.NormFloat64()
		}
		d, f := make([]float64, s.Displacements()), make([]float64, s.Displacements())
		s.ExpandTo(d, x, 0)
		k := make([]float64, s.scatter.packed)
		for tri, nodes := range s.constraints.outline.mesh.Tris {
			matrix(k, tri)
			for i := range nodesPerTri * count {
				for j := range nodesPerTri * count {
					a, b := count*int(nodes[i/count])+i%count, count*int(nodes[j/count])+j%count
					f[a] += k[max(i, j)*(max(i, j)+1)/2+min(i, j)] * d[b]
				}
			}
		}
		s.AddSprings(f, d)
		s.ReduceTo(want, f)
		got := make([]float64, s.Unknowns())
		s.Matrix.MulVec(got, x)
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-9 {
				t.Fatalf("%d displacements a node: row %d gives %g, want %g", count, i, got[i], want[i])
			}
		}
		many := heldRectangle(t, count, 3)
		many.AssembleTo(many.Matrix, true, matrix)
		for i, v := range s.Matrix.Val {
			if v != many.Matrix.Val[i] {
				t.Fatalf("value %d: %g with one worker, %g with three", i, v, many.Matrix.Val[i])
			}
		}
	}
}

// Directions that differ by less than drawings do count as one, and the corner
// that both hold is still in balance.
func TestNearlyParallelSupports(t *testing.T) {
	list := []equation{{local: [most]float64{U: 1}}, {local: [most]float64{U: 1, V: 1e-8}}, {local: [most]float64{V: 1}}}
	r := [most]float64{3, -2}
	if got := multipliers(list, &r); got[0] != 3 || got[1] != 0 || got[2] != -2 {
		t.Errorf("forces %v along the directions", got)
	}
	m := grids.Rectangle(2, 2, 20, 10)
	p := &part.Part{Thickness: 1, Features: grids.Sides(), Cases: []part.Case{{Name: "c", Factor: 1}},
		Supports: []part.Support{{Feature: 3, Kind: part.Sliding}, {Feature: 0, Kind: part.Sliding, Angle: 1e-8}, {Feature: 2, Kind: part.Sliding, Angle: math.Pi / 2}}}
	sets, _, err := NewSets(NewOutline(m, p), Settings{Count: InPlane, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	corner := 2 * int(m.Boundary[0].A)
	if s := sets[0]; s.tie.start[corner+1] != s.tie.start[corner] || s.tie.start[corner+2]-s.tie.start[corner+1] != 1 {
		t.Errorf("the corner of two parallel supports is held in more than one direction")
	}
}
