package stress

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/hold"
	"sinew/internal/shapes"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// quarterHole is a quarter of a plate of width 2w and length 2l (loaded along
// y) with a hole of radius r in the middle; edges: bottom, right, top, left, arc.
func quarterHole(r, w, l float64) *part.Part {
	outer := geom.Loop{
		{A: geom.Point{X: r}, B: geom.Point{X: w}},
		{A: geom.Point{X: w}, B: geom.Point{X: w, Y: l}},
		{A: geom.Point{X: w, Y: l}, B: geom.Point{Y: l}},
		{A: geom.Point{Y: l}, B: geom.Point{Y: r}},
		{A: geom.Point{Y: r}, B: geom.Point{X: r}, Bulge: -math.Tan(math.Pi / 8)},
	}
	return &part.Part{
		Region: geom.Region{Outer: outer}, Thickness: 1, Features: sides(),
		Supports: []part.Support{{Feature: left, Kind: part.Sliding}, {Feature: bottom, Kind: part.Sliding, Angle: math.Pi / 2}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: top, Kind: part.Traction, Force: geom.Point{Y: 1}}}}},
	}
}

// holePeaks returns the stress at the flank along the load and at the crown
// across it, over the gross stress.
func holePeaks(t *testing.T, p *part.Part, r, arc float64, sheet Sheet) (flank, crown float64, nodes int) {
	t.Helper()
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: p.Region.Bounds().Extent() / 8, ArcSize: arc, MinSize: r * arc / 4})
	if err != nil {
		t.Fatal(err)
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	c := solve(t, s, sheet).Cases[0]
	stress := s.NodalStress(&c, sheet)
	return stress[nearestNode(m, geom.Point{X: r})][1], stress[nearestNode(m, geom.Point{Y: r})][0], len(m.Nodes)
}

// Isotropic plates with a hole. The wide plate: Kirsch (1898), 3 and -1. Strips:
// values of nine-node elements on two meshes that agree to four digits,
// recomputed independently; the handbook polynomial
// Ktn = 3 - 3.140x + 3.667x² - 1.527x³ (Roark; Peterson) lies up to 0.9 %
// below, Heywood's [2+(1-x)³]/(1-x) up to 2.3 %.
func TestHoleInStrip(t *testing.T) {
	for _, row := range []struct{ ratio, want, crown float64 }{
		{1.0 / 60, 3.0016, -1}, {0.1, 3.0362, -1.032}, {0.2, 3.1526, -1.119}, {0.3, 3.3744, -1.254}, {0.5, 4.3476, -1.615},
	} {
		const r = 5.0
		w := r / row.ratio
		got, crown, nodes := holePeaks(t, quarterHole(r, w, 4*w), r, 0.06, Isotropic(70e3, 0.3, 1))
		x := row.ratio
		handbook := (3 - 3.140*x + 3.667*x*x - 1.527*x*x*x) / (1 - x)
		heywood := (2 + math.Pow(1-x, 3)) / (1 - x)
		t.Logf("d/W %.4f: Kt %.4f (want %.4f; polynomial %.4f, Heywood %.4f), crown %.4f, %d nodes", x, got, row.want, handbook, heywood, crown, nodes)
		if math.Abs(got-row.want) > 0.007*row.want {
			t.Errorf("d/W %g: Kt %g, want %g", x, got, row.want)
		}
		if math.Abs(crown-row.crown) > 0.02 {
			t.Errorf("d/W %g: crown %g, want %g", x, crown, row.crown)
		}
	}
}

// Orthotropic wide plate: Kt = 1 + √(2(√(Ex/Ey) - nuxy) + Ex/Gxy) and
// -√(Ey/Ex) on the load axis (Lekhnitskii, Anisotropic Plates). Lamina
// T300/5208 of Tsai & Hahn (1980).
func TestHoleInOrthotropicPlate(t *testing.T) {
	lamina := material.Lamina{E1: 181e3, E2: 10.3e3, G12: 7.17e3, Nu12: 0.28}
	for _, row := range []struct {
		name        string
		angle       float64 // of the fibres from x; the load is along y
		want, crown float64
	}{{"along the fibres", math.Pi / 2, 6.7505, -0.23855}, {"across the fibres", 0, 2.3718, -4.1920}} {
		const r = 5.0
		sheet := Sheet{A: []material.Stiffness{lamina.Reduced().Turn(row.angle)}}
		got, crown, _ := holePeaks(t, quarterHole(r, 60*r, 60*r), r, 0.015, sheet)
		t.Logf("%s: Kt %.4f (want %.4f), crown %.4f (want %.4f)", row.name, got, row.want, crown, row.crown)
		if math.Abs(got-row.want) > 0.01*row.want {
			t.Errorf("%s: Kt %g, want %g", row.name, got, row.want)
		}
		if math.Abs(crown-row.crown) > 0.01*math.Abs(row.crown) {
			t.Errorf("%s: crown %g, want %g", row.name, crown, row.crown)
		}
	}
}

func cook(t *testing.T, n int) (*System, *Solution) {
	t.Helper()
	m := gridMesh(n, n, func(s, u float64) geom.Point {
		x := 48 * s
		lo, hi := 44*s, 44+16*s
		return geom.Point{X: x, Y: lo + u*(hi-lo)}
	})
	p := &part.Part{
		Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases: []part.Case{{Name: "shear", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{Y: 1}}}}},
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return s, solve(t, s, Isotropic(1, 1.0/3, 1))
}

// Cook's membrane (Cook, J. Struct. Div. ASCE 100 (1974) 1851): deflection at
// (48, 52), principal stresses at (24, 22) and (24, 52), work of the load;
// converged values recomputed independently with 128 by 128 nine-node elements.
func TestCooksMembrane(t *testing.T) {
	s, sol := cook(t, 32)
	c := &sol.Cases[0]
	m := s.Mesh()
	v := c.U[2*nearestNode(m, geom.Point{X: 48, Y: 52})+1]
	stress := s.NodalStress(c, Isotropic(1, 1.0/3, 1))
	s1, _, _ := Principal(stress[nearestNode(m, geom.Point{X: 24, Y: 22})])
	_, s2, _ := Principal(stress[nearestNode(m, geom.Point{X: 24, Y: 52})])
	t.Logf("v %.4f, s1 %.5f, s2 %.5f, work %.4f", v, s1, s2, c.Work)
	for _, row := range []struct {
		name           string
		got, want, tol float64
	}{{"deflection", v, 23.967, 0.002}, {"s1", s1, 0.2369, 0.01}, {"s2", s2, -0.2035, 0.01}, {"work", c.Work, 24.041, 0.002}} {
		if math.Abs(row.got-row.want) > row.tol*math.Abs(row.want) {
			t.Errorf("%s %g, want %g", row.name, row.got, row.want)
		}
	}
}

// NAFEMS LE1, elliptic membrane (The Standard NAFEMS Benchmarks, 1990): 92.7
// MPa along y at (2, 0) m; here in mm.
func TestEllipticMembrane(t *testing.T) {
	got := ellipse(t, 32)
	t.Logf("sigma_yy %.3f MPa, estimated error %.4f", got.stress, got.estimate)
	if math.Abs(got.stress-92.7) > 0.01*92.7 || got.estimate > 0.01 {
		t.Errorf("stress %g MPa, want 92.7; estimated error %g", got.stress, got.estimate)
	}
}

// Convergence on a smooth problem with a known answer, an annulus under inner
// pressure (Lamé): displacements must gain at least order 2.8, recovered
// stresses 1.8, and the estimated error must match the true one within a
// factor of two.
func TestConvergence(t *testing.T) {
	const a, b, e, nu, pressure = 10.0, 20.0, 1000.0, 0.3, 5.0
	k := pressure * a * a / (b*b - a*a)
	radial := func(r float64) float64 { return k / e * ((1-nu)*r + (1+nu)*b*b/r) }
	var us, ss []float64
	for _, n := range []int{8, 16, 32} {
		m := gridMesh(2*n, n, func(s, u float64) geom.Point {
			return hold.Direction(s * math.Pi / 2).Scale(b + u*(a-b))
		})
		p := &part.Part{
			Thickness: 1, Features: sides(),
			Supports: []part.Support{{Feature: right, Kind: part.Sliding}, {Feature: left, Kind: part.Sliding, Angle: math.Pi / 2}},
			Cases:    []part.Case{{Name: "p", Factor: 1, Loads: []part.Load{{Feature: top, Kind: part.Pressure, Force: geom.Point{X: pressure}}}}},
		}
		s, err := NewSystem(m, p, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		sheet := Isotropic(e, nu, 1)
		c := solve(t, s, sheet).Cases[0]
		uErr, sErr := 0.0, 0.0
		stress := s.NodalStress(&c, sheet)
		for i, q := range m.Nodes {
			r := q.Norm()
			uErr = math.Max(uErr, math.Abs(geom.Point{X: c.U[2*i], Y: c.U[2*i+1]}.Dot(q.Scale(1/r))-radial(r)))
			got := material.TurnStress(stress[i], math.Atan2(q.Y, q.X))
			sErr = math.Max(sErr, math.Abs(got[1]-k*(1+b*b/(r*r))))
		}
		us, ss = append(us, uErr), append(ss, sErr)
		est := s.Estimate(&c, sheet)
		true2 := 0.0
		for i, w := range s.Weights() {
			q := s.Points()[i]
			r := q.Norm()
			exact := [3]float64{k / e * ((1 - nu) - (1+nu)*b*b/(r*r)), radial(r) / r, 0}
			d := material.TurnStrain(c.Strain[i], math.Atan2(q.Y, q.X))
			for j := range d {
				d[j] -= exact[j]
			}
			true2 += w * dot(d, sheet.StiffnessAt(0).Mul(d))
		}
		ratio := math.Sqrt(true2) / (est.Relative * est.Norm)
		t.Logf("n %d: u %.3g, stress %.3g, estimate %.3g, true/estimated %.3f", n, uErr, sErr, est.Relative, ratio)
		if ratio < 0.5 || ratio > 2 {
			t.Errorf("n %d: true error is %g of the estimate", n, ratio)
		}
	}
	for i := 1; i < len(us); i++ {
		if o := math.Log2(us[i-1] / us[i]); o < 2.8 {
			t.Errorf("displacement converges with order %.2f", o)
		}
		if o := math.Log2(ss[i-1] / ss[i]); o < 1.8 {
			t.Errorf("stress converges with order %.2f", o)
		}
	}
}

// outlines is how many random outlines go through mesh and analysis.
const outlines = 200

// Random outlines, half of them with needle corners and thin ligaments, half as
// drawn, with fillets, slots and slits, held at their longest edge: each is
// meshed and its forces balance to 1e-9, or it is refused with a place. (That
// angles stay above 25° but at sharp corners is held by the tests of mesh.)
func TestEquilibriumOnRandomShapes(t *testing.T) {
	solved := 0
	for seed := range uint64(outlines) {
		r := shapes.Random(seed)
		if seed%2 == 1 {
			r = shapes.Filleted(seed)
		}
		m, err := mesh.Generate(r, mesh.Settings{Size: r.Bounds().Extent() / 5, ArcSize: 0.6, Growth: 0.6})
		if err != nil {
			if !strings.Contains(err.Error(), "(") {
				t.Errorf("shape %d: refused without a place: %v", seed, err)
			}
			continue
		}
		balance(t, seed, r, m)
		solved++
	}
	t.Logf("%d of %d shapes solved", solved, outlines)
	if solved < outlines*95/100 {
		t.Errorf("only %d of %d shapes were solved", solved, outlines)
	}
}

// balance analyses a shape under one of two cases and holds forces against
// reactions.
func balance(t *testing.T, seed uint64, r geom.Region, m *mesh.Mesh) {
	t.Helper()
	longest := 0
	for i, e := range r.Outer {
		if e.Length() > r.Outer[longest].Length() {
			longest = i
		}
	}
	other := (longest + len(r.Outer)/2) % len(r.Outer)
	p := &part.Part{Region: r, Thickness: 2, Features: []part.Feature{
		{Name: "longest", Kind: part.Side, Edges: []int{longest}}, {Name: "other", Kind: part.Side, Edges: []int{other}},
	}}
	p.Supports = []part.Support{{Feature: 0, Kind: part.Fixed}}
	p.Cases = []part.Case{{Name: "even", Factor: 1.3, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: 100, Y: -30}}}, Acceleration: geom.Point{Y: 9810}}}
	if seed%4 < 2 {
		p.Cases = []part.Case{{Name: "grip", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 10, Y: 70}}}, Heat: part.Heat{Change: 30}}}
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Errorf("shape %d: %v", seed, err)
		return
	}
	lamina := material.Lamina{E1: 60e3, E2: 3e3, G12: 1.3e3, Nu12: 0.33}
	sheet := Sheet{A: []material.Stiffness{lamina.Reduced().Turn(0.1 * float64(seed))}, Mass: []float64{3e-3}, Thermal: [][3]float64{{0.01, 0.2, 0.05}}}
	for _, c := range solve(t, s, sheet).Cases {
		if !(c.Imbalance < 1e-9) || !(c.Residual < 1e-12) {
			t.Errorf("shape %d: imbalance %g, residual %g", seed, c.Imbalance, c.Residual)
		}
	}
}

// Adaptive meshes reach their tolerance on a strip with a hole, and the peak
// they give is the converged one.
func TestAdapt(t *testing.T) {
	p := quarterHole(5, 25, 100)
	a, err := Adapt(context.Background(), p, Isotropic(70e3, 0.3, 1), AdaptSettings{RefineSettings: RefineSettings{Error: 0.01, Mesh: mesh.Settings{Size: 20, ArcSize: 1}}})
	if err != nil {
		t.Fatal(err)
	}
	c := &a.Solution.Cases[0]
	got := a.System.NodalStress(c, Isotropic(70e3, 0.3, 1))[nearestNode(a.Mesh, geom.Point{X: 5})][1]
	t.Logf("%+v, Kt %.4f", a.History, got)
	if !a.Reached || a.Error > 0.01 {
		t.Errorf("error %g after %d rounds", a.Error, len(a.History))
	}
	if len(a.History) < 2 || a.History[0].Error < a.Error {
		t.Errorf("no refinement took place: %+v", a.History)
	}
	if math.Abs(got-3.1526) > 0.02*3.1526 {
		t.Errorf("Kt %g, want 3.1526", got)
	}
}

// The adapted mesh and its solution are the same bits for one worker and two.
func TestAdaptIsDeterministic(t *testing.T) {
	p := quarterHole(5, 25, 50)
	var first *Adapted
	for _, workers := range []int{1, 2, 2} {
		a, err := Adapt(context.Background(), p, Isotropic(70e3, 0.3, 1), AdaptSettings{System: Settings{Workers: workers}, RefineSettings: RefineSettings{Error: 0.02, Mesh: mesh.Settings{Size: 15, ArcSize: 1}}})
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = a
			continue
		}
		if !reflect.DeepEqual(a.Mesh.Nodes, first.Mesh.Nodes) || !reflect.DeepEqual(a.Mesh.Tris, first.Mesh.Tris) || !reflect.DeepEqual(a.History, first.History) || !reflect.DeepEqual(a.Solution, first.Solution) {
			t.Errorf("%d workers: another mesh or another solution", workers)
		}
	}
}

func TestProbes(t *testing.T) {
	p := quarterHole(5, 100, 100)
	p.Probes = []part.Probe{
		{Name: "gauge", Feature: -1, At: geom.Point{X: 95, Y: 95}, Angle: math.Pi / 2},
		{Name: "edge", Feature: bottom}, {Name: "top", Feature: top},
	}
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 10})
	if err != nil {
		t.Fatal(err)
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	sheet := Isotropic(1000, 0.3, 1)
	sol := solve(t, s, sheet)
	r, err := s.Probes(sol, sheet)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r[0].Strain-1e-3) > 2e-5 || math.Abs(r[0].S1-1) > 0.02 || math.Abs(math.Abs(r[0].Angle)-math.Pi/2) > 0.02 {
		t.Errorf("gauge far from the hole: %+v", r[0])
	}
	if math.Abs(r[1].Reaction[1]+100) > 1e-6 || math.Abs(r[1].Stress[1]-3) > 0.06 || !r[1].OnFeature {
		t.Errorf("bottom edge: %+v", r[1])
	}
	if r[2].Displacement.Y < 0.1 || r[2].Displacement.Y > 0.11 {
		t.Errorf("top edge moves %v", r[2].Displacement)
	}
	p.Probes[0].At = geom.Point{X: 1, Y: 1}
	if _, err := s.Probes(sol, sheet); err == nil {
		t.Error("a probe in the hole is no error")
	}
}

// A pin's pressure adds up to its force at any angle, and its stress field
// holds no moment about the hole.
func TestBearing(t *testing.T) {
	r := shapes.Strip(100, 40, 12)
	center, d, ok := part.RoundHole(r.Holes[0])
	if !ok {
		t.Fatal("the strip has no round hole")
	}
	m, err := mesh.Generate(r, mesh.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []float64{0, 0.7, 2, math.Pi, -1.3} {
		f := hold.Direction(a).Scale(1000)
		p := &part.Part{Region: r, Thickness: 3, Features: []part.Feature{
			{Name: "hole", Kind: part.Hole, Loop: 1, Center: center, Diameter: d}, {Name: "side", Kind: part.Side, Edges: []int{3}}},
			Supports: []part.Support{{Feature: 1, Kind: part.Fixed}},
			Cases:    []part.Case{{Name: "pin", Factor: 1, Loads: []part.Load{{Feature: 0, Kind: part.Bearing, Force: f}}}},
		}
		s, err := NewSystem(m, p, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		c := solve(t, s, Isotropic(70e3, 0.3, 3)).Cases[0]
		if got := (geom.Point{X: c.Applied[0], Y: c.Applied[1]}); got.Dist(f) > 1e-9*1000 {
			t.Errorf("angle %g: applied %v, want %v", a, got, f)
		}
		if arm := c.Applied[2] - center.Cross(f); math.Abs(arm) > 1e-3*1000*d {
			t.Errorf("angle %g: moment %g N mm about the hole", a, arm)
		}
		if c.Imbalance > 1e-11 {
			t.Errorf("angle %g: imbalance %g", a, c.Imbalance)
		}
	}
	if _, err := NewSystem(m, &part.Part{Thickness: 1, Features: []part.Feature{{Name: "side", Kind: part.Side, Edges: []int{3}}},
		Supports: []part.Support{{Kind: part.Fixed}}, Cases: []part.Case{{Name: "x", Factor: 1, Loads: []part.Load{{Kind: part.Bearing, Force: geom.Point{X: 1}}}}}}, Settings{}); err == nil {
		t.Error("a pin on a straight side is no error")
	}
}

// The adjoint: the derivative of one displacement by a local stiffness is
// -w·eps(lambda)·dA·eps(u), checked by central differences.
func TestAdjointSolve(t *testing.T) {
	m := rectangle(6, 3, 30, 10)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases: []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{X: 5, Y: 3}}}}}}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	n := len(s.Points())
	sheet := Sheet{A: make([]material.Stiffness, n)}
	for i := range sheet.A {
		sheet.A[i] = Isotropic(1000, 0.3, 1).A[0]
	}
	dof := 2*nearestNode(m, geom.Point{X: 30, Y: 5}) + 1
	base := solve(t, s, sheet)
	lambda := make([]float64, 2*len(m.Nodes))
	lambda[dof] = 1
	if err := s.SolveLoads([][]float64{lambda}); err != nil {
		t.Fatal(err)
	}
	el := s.StrainsOf(lambda)
	for _, point := range []int{0, 17, 50} {
		for k, unit := range []material.Stiffness{{1}, {0, 1}, {0, 0, 1}, {0, 0, 0, 1}, {0, 0, 0, 0, 1}, {0, 0, 0, 0, 0, 1}} {
			want := -s.Weights()[point] * dot(el[point], unit.Mul(base.Cases[0].Strain[point]))
			const h = 0.5
			was := sheet.A[point]
			sheet.A[point] = was.Add(unit, h)
			up := solve(t, s, sheet).Cases[0].U[dof]
			sheet.A[point] = was.Add(unit, -h)
			down := solve(t, s, sheet).Cases[0].U[dof]
			sheet.A[point] = was
			if got := (up - down) / (2 * h); math.Abs(got-want) > 1e-5*math.Abs(want)+1e-13 {
				t.Errorf("point %d, term %d: %g by differences, %g by the adjoint", point, k, got, want)
			}
		}
	}
}

// Means over a disc: of a constant the constant, of a linear field in the
// inside the value at the centre, less masked points; the adjoint transposes.
func TestDisc(t *testing.T) {
	m := rectangle(60, 40, 30, 20)
	s, err := NewSystem(m, &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left}}, Cases: []part.Case{{Name: "c", Factor: 1}}}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	at, w := s.Points(), s.Weights()
	masked := make([]bool, len(at))
	for i, p := range at {
		masked[i] = p.X < 5
	}
	d := NewMaskedDisc(at, w, 2, masked)
	one, x := make([]float64, len(at)), make([]float64, len(at))
	for i, p := range at {
		one[i], x[i] = 1, 3*p.X-p.Y
	}
	ones, xs := d.Mean(one), d.Mean(x)
	for i, p := range at {
		switch {
		case masked[i]:
			if ones[i] != 0 || !d.IsMasked(i) {
				t.Fatalf("masked point %v has a mean", p)
			}
		case math.Abs(ones[i]-1) > 1e-12:
			t.Fatalf("mean of one at %v is %g", p, ones[i])
		case p.X > 8 && p.X < 27 && p.Y > 3 && p.Y < 17 && math.Abs(xs[i]-x[i]) > 0.1:
			t.Fatalf("mean of a linear field at %v is %g, want %g", p, xs[i], x[i])
		}
	}
	var a, b float64
	g := d.Adjoint(x)
	for i := range x {
		a += x[i] * ones[i]
		b += g[i] * one[i]
	}
	if math.Abs(a-b) > 1e-9*math.Abs(a) {
		t.Errorf("adjoint: %g and %g", a, b)
	}
	if plain := NewDisc(at, w, 0).Mean(x); plain[7] != x[7] {
		t.Errorf("a disc without radius changes %g to %g", x[7], plain[7])
	}
}

func BenchmarkAssembly(b *testing.B) {
	for _, n := range []int{70, 140, 224} {
		m := rectangle(n, n, 100, 100)
		s, err := NewSystem(m, &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left}}, Cases: []part.Case{{Name: "c", Factor: 1}}}, Settings{})
		if err != nil {
			b.Fatal(err)
		}
		sheet := Sheet{A: make([]material.Stiffness, len(s.Points()))}
		for i := range sheet.A {
			sheet.A[i] = material.Lamina{E1: 60e3, E2: 3e3, G12: 1.3e3, Nu12: 0.33}.Reduced().Turn(0.001 * float64(i))
		}
		set := s.sets[0]
		b.Run(fmt.Sprintf("%d elements", 2*n*n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				set.AssembleTo(set.Matrix, true, func(k []float64, t int) { s.elements.stiffnessTo((*[packed]float64)(k), t, &sheet) })
			}
		})
	}
}

func ExampleSystem_Solve() {
	strip := shapes.Plate(50, 10)
	m, _ := mesh.Generate(strip, mesh.Settings{Size: 5})
	p := &part.Part{
		Region: strip, Thickness: 2,
		Features: []part.Feature{{Name: "left", Kind: part.Side, Edges: []int{3}}, {Name: "right", Kind: part.Side, Edges: []int{1}}},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}}},
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	sol, err := s.Solve(context.Background(), Isotropic(70e3, 0, 2))
	if err != nil {
		fmt.Println(err)
		return
	}
	c := sol.Cases[0]
	fmt.Printf("stretch %.4f mm, reaction %.0f N\n", c.GripMove[0], c.Reactions[0][0])
	// Output: stretch 0.0357 mm, reaction -1000 N
}
