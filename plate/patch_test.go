package plate

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// coupled is an unsymmetric stack of carbon/epoxy T300/5208 (Tsai & Hahn, 1980;
// G23 and the shear terms that the source leaves open as marked) of total
// thickness h.
func coupled(t *testing.T, h float64, angles ...float64) *material.Laminate {
	t.Helper()
	l := material.Lamina{E1: 181e3, E2: 10.3e3, G12: 7.17e3, Nu12: 0.28, G13: 7.17e3, G23: 4e3, Alpha1: 0.02e-6, Alpha2: 22.5e-6, Density: 1.6e-3}
	return stackOf(t, l, h, angles...)
}

var anyStrength = material.Strength{Xt: 1500, Xc: 1500, Yt: 40, Yc: 246, S: 68}

func stackOf(t *testing.T, l material.Lamina, h float64, angles ...float64) *material.Laminate {
	t.Helper()
	ply, err := material.NewPly(l, anyStrength, material.Judge{})
	if err != nil {
		t.Fatal(err)
	}
	var layers []material.Layer
	for _, a := range angles {
		layers = append(layers, material.Layer{Ply: ply, Theta: a * math.Pi / 180, Thickness: h / float64(len(angles))})
	}
	out, err := material.NewLaminate(layers, 0)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func newSystem(t *testing.T, m *mesh.Mesh, p *part.Part, s Settings) *System {
	t.Helper()
	sys, err := NewSystem(m, p, s)
	if err != nil {
		t.Fatal(err)
	}
	return sys
}

func solve(t *testing.T, s *System, section Section) *Solution {
	t.Helper()
	sol, err := s.Solve(context.Background(), &section)
	if err != nil {
		t.Fatal(err)
	}
	for i := range sol.Cases {
		if c := &sol.Cases[i]; !(c.Imbalance < 1e-9) || !(c.Residual < 1e-13) {
			t.Errorf("case %d: imbalance %g, residual %g", i, c.Imbalance, c.Residual)
		}
	}
	return sol
}

// patchMesh is the four-sided patch of MacNeal & Harder, Finite Elem. Anal.
// Des. 1 (1985) 3, its four-node cells cut in two: 0.24 by 0.12 with inner
// nodes off any line.
func patchMesh() *mesh.Mesh {
	corners := []geom.Point{{}, {X: 0.24}, {X: 0.24, Y: 0.12}, {Y: 0.12}, {X: 0.04, Y: 0.02}, {X: 0.18, Y: 0.03}, {X: 0.16, Y: 0.08}, {X: 0.08, Y: 0.08}}
	m := &mesh.Mesh{Nodes: corners}
	mid := map[[2]int32]int32{}
	between := func(a, b int32) int32 {
		key := [2]int32{min(a, b), max(a, b)}
		if _, ok := mid[key]; !ok {
			mid[key] = int32(len(m.Nodes))
			m.Nodes = append(m.Nodes, m.Nodes[a].Lerp(m.Nodes[b], 0.5))
		}
		return mid[key]
	}
	for _, q := range [][4]int32{{0, 1, 5, 4}, {1, 2, 6, 5}, {2, 3, 7, 6}, {3, 0, 4, 7}, {4, 5, 6, 7}} {
		for _, c := range [2][3]int32{{q[0], q[1], q[2]}, {q[0], q[2], q[3]}} {
			m.Tris = append(m.Tris, [6]int32{c[0], c[1], c[2], between(c[0], c[1]), between(c[1], c[2]), between(c[2], c[0])})
		}
	}
	for e := range int32(4) {
		a, b := e, (e+1)%4
		for t, n := range m.Tris {
			if n[0] == a && n[1] == b {
				m.Boundary = append(m.Boundary, mesh.BoundaryEdge{A: a, B: b, Mid: between(a, b), Tri: int32(t), Edge: e})
			}
		}
	}
	return m
}

// moved imposes the displacements of a field on the whole outline.
func moved(field func(p geom.Point) [5]float64) []Enforced {
	return []Enforced{{Feature: all, Move: func(p geom.Point) ([5]float64, [5]bool) {
		return field(p), [5]bool{true, true, true, true, true}
	}}}
}

// Patch tests of MacNeal & Harder (1985): stretching u = 1e-3(x + y/2), v =
// 1e-3(y + x/2) gives 1333.33, 1333.33, 400 with E 1e6, nu 0.25; bending
// w = 1e-3(x² + xy + y²)/2 gives moments 1.111e-7, 1.111e-7, 3.333e-8 with t
// 0.001, and faces of 0.667, 0.667, 0.200. Unsymmetric stacks must answer both
// at once with constant strains, on any mesh and for any thickness.
func TestPatch(t *testing.T) {
	iso := material.Lamina{E1: 1e6, E2: 1e6, Nu12: 0.25, G12: 4e5, G13: 4e5, G23: 4e5}
	field := func(p geom.Point) [5]float64 {
		return [5]float64{
			1e-3 * (p.X + p.Y/2), 1e-3 * (p.Y + p.X/2), 1e-3 * (p.X*p.X + p.X*p.Y + p.Y*p.Y) / 2,
			-1e-3 * (p.X + p.Y/2), -1e-3 * (p.Y + p.X/2),
		}
	}
	want := [8]float64{1e-3, 1e-3, 1e-3, -1e-3, -1e-3, -1e-3, 0, 0}
	shaken := rectangle(4, 3, 0.24, 0.12)
	shake(shaken, 0.02, 7)
	for _, row := range []struct {
		name    string
		mesh    *mesh.Mesh
		section Section
	}{
		{"isotropic", patchMesh(), Homogeneous(iso, 0.001)},
		{"isotropic, thick", patchMesh(), Homogeneous(iso, 0.1)},
		{"coupled", patchMesh(), FromLaminate(coupled(t, 0.001, 0, 90, 45))},
		{"coupled, shaken mesh", shaken, FromLaminate(coupled(t, 0.002, 30, -20, 90, 75))},
	} {
		p := &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "bend", Factor: 1}}}
		s := newSystem(t, row.mesh, p, Settings{Enforced: moved(field)})
		c := &solve(t, s, row.section).Cases[0]
		for i, e := range c.Strain {
			for k := range e {
				if math.Abs(e[k]-want[k]) > 1e-13 {
					t.Fatalf("%s: strain %d at point %d is %g, want %g", row.name, k, i, e[k], want[k])
				}
			}
		}
		for n, at := range row.mesh.Nodes {
			for k, v := range field(at) {
				if got := c.D[5*n+k]; math.Abs(got-v) > 1e-15 {
					t.Fatalf("%s: displacement %d of node %d is %g, want %g", row.name, k, n, got, v)
				}
			}
		}
		if row.name == "isotropic" {
			l := row.section.at(0)
			r := l.resultant(&c.Strain[0])
			for k, v := range [6]float64{1.3333333333, 1.3333333333, 0.4, -1.1111111111e-7, -1.1111111111e-7, -3.333333333e-8} {
				if math.Abs(r[k]-v) > 1e-9*math.Abs(v) {
					t.Errorf("resultant %d is %g, want %g", k, r[k], v)
				}
			}
		}
	}
}

// An element resists every motion but the six rigid ones, curved sides or not,
// thin or thick.
func TestElementHasSixRigidMotions(t *testing.T) {
	straight := [6]geom.Point{{}, {X: 3}, {X: 1, Y: 2}, {X: 1.5}, {X: 2, Y: 1}, {X: 0.5, Y: 1}}
	curved := straight
	curved[3].Y, curved[4].X = -0.2, 2.15
	for _, nodes := range [][6]geom.Point{straight, curved} {
		for _, h := range []float64{0.003, 0.1, 2} {
			section := FromLaminate(coupled(t, h, 0, 90, 30))
			var e shaped
			var k full
			var out [packed]float64
			if !e.shape(&nodes) {
				t.Fatal("folded")
			}
			e.stiffnessTo(&k, &section, 0)
			k.condense(&out)
			m := mat.NewSymDense(dofsPerTri, nil)
			for i := range dofsPerTri {
				for j := range i + 1 {
					m.SetSym(i, j, out[i*(i+1)/2+j])
				}
			}
			var eig mat.EigenSym
			eig.Factorize(m, false)
			v := eig.Values(nil)
			if !(math.Abs(v[5]) < 1e-13*v[dofsPerTri-1]) || !(v[6] > 1e-12*h*h*v[dofsPerTri-1]) || v[6] < 10*math.Abs(v[5]) {
				t.Errorf("h %g: eigenvalues %.3g … %.3g", h, v[:8], v[dofsPerTri-1])
			}
		}
	}
}
