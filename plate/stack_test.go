package plate

import (
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/stress"
)

// Stresses of layers against laminate theory: a strip of an unsymmetric stack
// bent by temperature, whose middle is far from any edge.
func TestLayerStress(t *testing.T) {
	l := coupled(t, 1, 0, 90)
	stack := StackOf(l)
	p := &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "cool", Factor: 1, Heat: part.Heat{Change: -75}}}}
	s := newSystem(t, rectangle(4, 4, 20, 20), p, Settings{Free: true})
	section, err := stack.Section(len(s.Points()))
	if err != nil {
		t.Fatal(err)
	}
	c := &solve(t, s, section).Cases[0]
	want := l.Stresses(material.Load{DeltaT: -75})
	for i := range stack.Layers {
		for at := range 3 {
			got := s.LayerStress(c, &stack.Layers[i], Height(at))
			for _, g := range got {
				for k, w := range want[3*i+at].Part {
					if math.Abs(g[k]-w) > 1e-8*70 {
						t.Fatalf("layer %d height %d component %d: %g, want %g", i, at, k, g[k], w)
					}
				}
			}
		}
	}
	// Kaw, Mechanics of Composite Materials (2006), ch. 4: [0/90], -75 K.
	for at, w := range [3]float64{47.18, -9.912, -67.01} {
		if got := s.LayerStress(c, &stack.Layers[0], Height(at))[0][0]; math.Abs(got-w) > 0.01 {
			t.Errorf("0° layer, height %d: %g MPa, want %g", at, got, w)
		}
	}
	gauge := s.Gauge(c, 0.5, math.Pi/2)
	e, k := l.Respond(material.Load{DeltaT: -75})
	for n, g := range gauge {
		if w := e[1] + 0.5*k[1]; math.Abs(g-w) > 1e-9 {
			t.Fatalf("gauge at node %d reads %g, want %g", n, g, w)
		}
	}
}

// Stresses of the sinusoidally pressed [0/90/90/0] square, a/h 100: exact
// elasticity of Pagano, J. Compos. Mater. 4 (1970) 20, recomputed by layer
// matrices: sigma_x(h/2) 0.5388, tau_xz(0) 0.3388, tau_yz(0) 0.1389, over
// q·(a/h)² and q·(a/h); the latter by equilibrium.
func TestPaganoStresses(t *testing.T) {
	const h = 0.01
	l := stackOf(t, layered(25, 0.5, 0.2), h, 0, 90, 90, 0)
	stack := StackOf(l)
	p := simply(part.Case{Name: "press", Factor: 1})
	m := rectangle(12, 12, 0.5, 0.5)
	s := newSystem(t, m, p, Settings{})
	sinusoidal(s, &p.Cases[0], 1, 1)
	section := FromLaminate(l)
	c := &solve(t, s, section).Cases[0]
	pick := func(values [][3]float64, x, y float64) [3]float64 {
		return s.Nodal(values)[nearestNode(m, geom.Point{X: x, Y: y})]
	}
	tau := s.Interlaminar(c, stack)
	three := func(v [][2]float64) (out [][3]float64) {
		for _, x := range v {
			out = append(out, [3]float64{x[0], x[1]})
		}
		return out
	}
	for _, row := range []struct {
		name      string
		got, want float64
	}{
		{"sigma_x(h/2)", math.Abs(pick(s.LayerStress(c, &stack.Layers[3], AtTop), 0.5, 0.5)[0]) * h * h, 0.5388},
		{"tau_xz(0)", math.Abs(pick(three(tau.Top[1]), 0, 0.5)[0]) * h, 0.3388},
		{"tau_yz(0)", math.Abs(pick(three(tau.Top[1]), 0.5, 0)[1]) * h, 0.1389},
	} {
		t.Logf("%s: %.4f (want %.4f)", row.name, row.got, row.want)
		if math.Abs(row.got-row.want) > 0.01*row.want {
			t.Errorf("%s: %g, want %g", row.name, row.got, row.want)
		}
	}
	// From shear forces: twist that grows is counted as bending, which makes the
	// lesser of the two too great.
	const twistShare = 0.13
	flow := s.Sheared(c, &section, stack)
	for _, row := range []struct {
		name      string
		got, want float64
	}{
		{"tau_xz(0)", math.Abs(pick(three(flow.Top[1]), 0, 0.5)[0]) * h, 0.3388},
		{"tau_yz(0)", math.Abs(pick(three(flow.Top[1]), 0.5, 0)[1]) * h, 0.1389},
	} {
		t.Logf("%s from shear forces: %.4f (want %.4f)", row.name, row.got, row.want)
		if math.Abs(row.got-row.want) > twistShare*row.want {
			t.Errorf("%s from shear forces: %g, want %g", row.name, row.got, row.want)
		}
	}
	for q := range flow.Top[3] { // the upper face is free
		if v := flow.Top[3][q]; math.Hypot(v[0], v[1]) > 1e-9/h {
			t.Fatalf("shear stress %v left at the upper face", v)
		}
	}
	if tau.Misfit > 0.05 {
		t.Errorf("a misfit of %g is left at the upper face", tau.Misfit)
	}
	if e := s.Estimate(c, &section); !(e.Relative < 0.01) || !(e.Relative > 0) {
		t.Errorf("estimated error %g", e.Relative)
	}
}

// A layer over half the plan, with its own height: a pad. Its section is that
// of the stack it makes there, and of the bare plate elsewhere.
func TestLayersOverPartOfThePlan(t *testing.T) {
	m := rectangle(8, 2, 40, 10)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left}},
		Cases: []part.Case{{Name: "lift", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Out: 1}}}}}
	s := newSystem(t, m, p, Settings{})
	base := StackOf(coupled(t, 1, 0, 90, 0)).Layers
	pad := StackOf(coupled(t, 0.5, 0)).Layers[0]
	pad.Bottom, pad.Top = []float64{0.5}, make([]float64, len(s.Points()))
	for i, at := range s.Points() {
		pad.Top[i] = 0.5
		if at.X < 20 {
			pad.Top[i] = 1
		}
	}
	stack := &Stack{Layers: append(base, pad)}
	section, err := stack.Section(len(s.Points()))
	if err != nil {
		t.Fatal(err)
	}
	bare := FromLaminate(coupled(t, 1, 0, 90, 0))
	for i, at := range s.Points() {
		if at.X > 20 && math.Abs(section.Stiff[i].D[0]-bare.Stiff[0].D[0]) > 1e-9*bare.Stiff[0].D[0] {
			t.Fatalf("point %d beside the pad is not bare", i)
		}
		if at.X < 20 && section.Stiff[i].B[0] == 0 {
			t.Fatalf("point %d under the pad does not couple", i)
		}
	}
	stiff, soft := solve(t, s, section).Cases[0].Work, solve(t, s, bare).Cases[0].Work
	if !(stiff < 0.8*soft) {
		t.Errorf("the pad stiffens little: work %g, bare %g", stiff, soft)
	}
	for i, v := range s.LayerStress(&solve(t, s, section).Cases[0], &stack.Layers[3], AtTop) {
		if s.Points()[i].X > 20 && v != [3]float64{} {
			t.Fatalf("stress %g where the pad is not", v)
		}
	}
	pad.Top[0] = 0.4
	if _, err := stack.Section(len(s.Points())); err == nil || !strings.Contains(err.Error(), "layer 4") {
		t.Errorf("a layer upside down: %v", err)
	}
}

// Strains at any place of an element are those at its integration points.
func TestStrainAt(t *testing.T) {
	m, p := lug(t, 8)
	p.Cases[0].Bending.Pressure, p.Cases[0].Heat.Change = 0.1, 20
	s := newSystem(t, m, p, Settings{})
	c := &solve(t, s, FromLaminate(coupled(t, 2, 0, 90, 30))).Cases[0]
	for half := range 2 {
		var spots []stress.Spot
		for t := range m.Tris {
			for k := range 3 {
				spots = append(spots, stress.Spot{Tri: t, B: rule[3*half+k].at})
			}
		}
		got := s.StrainAt(c, spots)
		for i, e := range got {
			want := c.Strain[PointsPerTri*(i/3)+3*half+i%3]
			for k := range e {
				if math.Abs(e[k]-want[k]) > 1e-12 {
					t.Fatalf("entry %d: %g, want %g", i, e, want)
				}
			}
		}
	}
}

// A cantilever's shear between its layers is that of the stack alone under its
// shear force, coupled stacks too.
func TestShearedCantilever(t *testing.T) {
	m := rectangle(20, 4, 40, 10)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left}},
		Cases: []part.Case{{Name: "lift", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Out: 10}}}}}
	s := newSystem(t, m, p, Settings{})
	for _, angles := range [][]float64{{0, 0}, {0, 90, 90, 0}, {0, 90}} {
		l := stackOf(t, layered(25, 0.5, 0.2), 1, angles...)
		section, stack := FromLaminate(l), StackOf(l)
		c := &solve(t, s, section).Cases[0]
		flow := s.Sheared(c, &section, stack)
		want, z := l.InterlaminarShear(1) // 10 N over 10 mm
		got := 0.0
		for q, at := range s.Points() {
			if math.Abs(at.X-20) > 5 || math.Abs(at.Y-5) > 2 {
				continue
			}
			for i := range stack.Layers {
				got = math.Max(got, math.Max(math.Abs(flow.Middle[i][q][0]), math.Abs(flow.Top[i][q][0])))
			}
		}
		t.Logf("%v: %.4f MPa, the stack alone %.4f at %.3f", angles, got, want, z)
		// The stack's greatest stress may lie between the heights that are looked
		// at: the middle and the top of each layer.
		if got > want*1.03 || got < want*0.9 {
			t.Errorf("%v: %g MPa, want %g", angles, got, want)
		}
	}
}
