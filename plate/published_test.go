package plate

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/golden"
	"sinew/internal/orders"
	"sinew/mesh"
	"sinew/part"
)

// quarterDisc is a quarter of a disc of radius one under an even pressure of
// one; edges: bottom, rim, left.
func quarterDisc(rim part.Across) *part.Part {
	region := geom.Region{Outer: geom.Loop{
		{A: geom.Point{}, B: geom.Point{X: 1}},
		{A: geom.Point{X: 1}, B: geom.Point{Y: 1}, Bulge: math.Tan(math.Pi / 8)},
		{A: geom.Point{Y: 1}, B: geom.Point{}},
	}}
	return &part.Part{
		Region: region, Thickness: 1,
		Features: []part.Feature{{Name: "bottom", Kind: part.Side, Edges: []int{0}}, {Name: "rim", Kind: part.Side, Edges: []int{1}}, {Name: "left", Kind: part.Side, Edges: []int{2}}},
		Supports: []part.Support{
			{Feature: 0, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Mirrored},
			{Feature: 2, Kind: part.Sliding, Across: part.Mirrored},
			{Feature: 1, Kind: part.Resting, Across: rim},
		},
		Cases: []part.Case{{Name: "press", Factor: 1, Bending: part.Bending{Pressure: 1}}},
	}
}

// disc returns the deflection, and the moments along and around, at a radius of
// a disc of radius one under a pressure of one, of bending stiffness one:
// Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells (1959), art. 16; its
// shear, (1 - r²)/(4S) of the shear stiffness S, is added by first-order theory.
func disc(rim part.Across, nu, shear, r float64) (w, along, around float64) {
	slip := (1 - r*r) / (4 * shear)
	if rim == part.Clamped {
		return (1-r*r)*(1-r*r)/64 + slip, ((1 + nu) - (3+nu)*r*r) / 16, ((1 + nu) - (1+3*nu)*r*r) / 16
	}
	return (1-r*r)/64*((5+nu)/(1+nu)-r*r) + slip, (3 + nu) * (1 - r*r) / 16, ((3 + nu) - (1+3*nu)*r*r) / 16
}

// discErrors are those of deflection and moments over a disc of thickness h,
// root mean squares.
func discErrors(rim part.Across, h float64) func(*testing.T, int) (u, q, est float64) {
	return func(t *testing.T, n int) (float64, float64, float64) {
		const nu = 0.3
		e := 12 * (1 - nu*nu) / (h * h * h) // bending stiffness one
		p := quarterDisc(rim)
		m, err := mesh.Generate(p.Region, mesh.Settings{Size: 1 / float64(n), ArcSize: 1 / float64(n)})
		if err != nil {
			t.Fatal(err)
		}
		s := newSystem(t, m, p, Settings{})
		section := Homogeneous(isotropic(e, nu), h)
		c := &solve(t, s, section).Cases[0]
		shear := section.Shear[0][0]
		var offW, sumW, offM, sumM float64
		for i, r := range s.Resultants(c, &section) {
			at := s.Points()[i]
			w, along, around := disc(rim, nu, shear, at.Norm())
			cs, sn := at.X/at.Norm(), at.Y/at.Norm()
			offW += s.Weights()[i] * sq(s.deflection(i, c.D)-w)
			sumW += s.Weights()[i] * sq(w)
			// Pressure upwards bends the middle up: the upper face is pulled, κ
			// there is that of t = -grad w, so that moments have the book's sign.
			want := [3]float64{along*cs*cs + around*sn*sn, along*sn*sn + around*cs*cs, (along - around) * cs * sn}
			for k := range want {
				offM += s.Weights()[i] * sq(r[3+k]-want[k])
				sumM += s.Weights()[i] * sq(want[k])
			}
		}
		return math.Sqrt(offW / sumW), math.Sqrt(offM / sumM), s.Estimate(c, &section).Relative
	}
}

// frequencyErrors is that of the first frequency of the [0/90/90/0] square, a/h
// 10: the least root of first-order theory's three by three (Reddy 2004, ch. 6).
func frequencyErrors(t *testing.T, n int) (value, none, est float64) {
	const h = 0.1
	l := stackOf(t, layered(40, 0.6, 0.5), h, 0, 90, 90, 0)
	section := FromLaminate(l)
	s := newSystem(t, rectangle(n, n, 0.5, 0.5), simply(part.Case{Name: "swing", Factor: 1}), Settings{})
	modes, err := s.Frequencies(context.Background(), &section, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	d, k := &l.Stiff.D, math.Pi
	a := [3][3]float64{
		{(l.Shear[2] + l.Shear[0]) * k * k, l.Shear[2] * k, l.Shear[0] * k},
		{l.Shear[2] * k, (d[0]+d[5])*k*k + l.Shear[2], (d[1] + d[5]) * k * k},
		{l.Shear[0] * k, (d[1] + d[5]) * k * k, (d[5]+d[3])*k*k + l.Shear[0]},
	}
	mass := section.Mass[0]
	x, lambda := [3]float64{1, -0.1, -0.1}, 0.0
	for range 60 { // inverse iteration
		y := solve3(a, [3]float64{mass[0] * x[0], mass[2] * x[1], mass[2] * x[2]})
		lambda = x[0] / y[0]
		for i := range y {
			x[i] = y[i] / y[0]
		}
	}
	// Masses are in g: the stiffness in N/mm is 10⁶ g/s².
	want := math.Sqrt(lambda*1e6) / (2 * math.Pi)
	return math.Abs(modes[0].Value/want - 1), math.NaN(), math.NaN()
}

// Circular plates, thin and thick, hinged and clamped, under an even pressure:
// orders on meshes of curved triangles that no symmetry helps. The first frequency
// of a thick laminate.
func TestPublishedPlatesConverge(t *testing.T) {
	list := []study{
		{"disc, clamped, R/h 100", discErrors(part.Clamped, 0.01), 2.6, 1.7, "#1f6fb4"},
		{"disc, simply supported, R/h 100", discErrors(part.Hinged, 0.01), 2.6, 1.7, "#d1495b"},
		{"disc, clamped, R/h 5", discErrors(part.Clamped, 0.2), 2.6, 1.7, "#3a8f5c"},
		{"frequency, [0/90/90/0], a/h 10", frequencyErrors, 3.6, 0, "#8a5fb0"},
	}
	figure := &orders.Figure{
		Panels: []orders.Panel{{Title: "deflection, frequency", Slope: 3}, {Title: "moments", Slope: 2}},
		Cells:  []int{2, 4, 8, 16}, Across: "radius, side of the plate", Floor: -7,
	}
	for _, s := range list {
		s.draw(t, figure)
	}
	golden.Compare(t, "../../docs/figures/plate-convergence-2.svg", figure.SVG())
}

// The book's figures at the middle and the rim of a disc: 0.015625 and
// (5+ν)/(1+ν)/64 for the deflection, (1+ν)/16 and (3+ν)/16 for the moment.
func TestDiscInTheMiddle(t *testing.T) {
	const h, nu = 0.01, 0.3
	for rim, want := range map[part.Across][2]float64{part.Clamped: {1.0 / 64, (1 + nu) / 16}, part.Hinged: {(5 + nu) / (1 + nu) / 64, (3 + nu) / 16}} {
		p := quarterDisc(rim)
		m, err := mesh.Generate(p.Region, mesh.Settings{Size: 0.08, ArcSize: 0.08})
		if err != nil {
			t.Fatal(err)
		}
		s := newSystem(t, m, p, Settings{})
		section := Homogeneous(isotropic(12*(1-nu*nu)/(h*h*h), nu), h)
		c := &solve(t, s, section).Cases[0]
		moments := make([][3]float64, len(s.Points()))
		for i, r := range s.Resultants(c, &section) {
			moments[i] = [3]float64(r[3:6])
		}
		middle := nearestNode(m, geom.Point{})
		w, bent := c.D[5*middle+dispW], s.Nodal(moments)[middle]
		est := s.Estimate(c, &section).Relative
		t.Logf("rim %v: w %.6f (want %.6f), moments %.5f, %.5f (want %.5f), estimate %.4f", rim, w, want[0], bent[0], bent[1], want[1], est)
		if math.Abs(w/want[0]-1) > 1e-3 || math.Abs(bent[0]/want[1]-1) > 0.01 || math.Abs(bent[1]/want[1]-1) > 0.01 || est > 0.01 {
			t.Errorf("rim %v: w %g, moments %g, estimate %g", rim, w, bent, est)
		}
	}
}

// The acute rhombic plate of Morley (Skew Plates and Structures, 1963), corners of
// 30 and 150 degrees, simply supported, under an even pressure: in the middle
// w = 0.000408 q·a⁴/D, principal moments 0.0191 and 0.0108 q·a² (from memory of
// the source). Moments at the blunt corners are endless, so that plates converge
// slowly; supports stop the deflection alone, as Morley's thin plate asks of one
// that may shear.
func TestMorleysRhombus(t *testing.T) {
	const h, nu, slant = 0.001, 0.3, math.Pi / 6
	section := Homogeneous(isotropic(12*(1-nu*nu)/(h*h*h), nu), h)
	at := func(s, u float64) geom.Point {
		// Finer towards the edges, where the corners disturb.
		s, u = (1-math.Cos(math.Pi*s))/2, (1-math.Cos(math.Pi*u))/2
		return geom.Point{X: s + u*math.Cos(slant), Y: u * math.Sin(slant)}
	}
	p := &part.Part{
		Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "press", Factor: 1, Bending: part.Bending{Pressure: 1}}},
		Supports: []part.Support{{Feature: left, Kind: part.Fixed, Across: part.Held}, {Feature: bottom, Kind: part.Resting}, {Feature: right, Kind: part.Resting}, {Feature: top, Kind: part.Resting}},
	}
	for _, n := range []int{16, 32} {
		m := gridMesh(n, n, at)
		for _, tri := range m.Tris { // the map is not linear: mid-side nodes go to the middle
			for k := range 3 {
				m.Nodes[tri[3+k]] = m.Nodes[tri[k]].Lerp(m.Nodes[tri[(k+1)%3]], 0.5)
			}
		}
		s := newSystem(t, m, p, Settings{})
		c := &solve(t, s, section).Cases[0]
		moments := make([][3]float64, len(s.Points()))
		for i, r := range s.Resultants(c, &section) {
			moments[i] = [3]float64(r[3:6])
		}
		middle := nearestNode(m, at(0.5, 0.5))
		w, bent := c.D[5*middle+dispW], s.Nodal(moments)[middle]
		mean, half := (bent[0]+bent[1])/2, math.Hypot((bent[0]-bent[1])/2, bent[2])
		t.Logf("%d by %d: w %.6f (0.000408), moments %.5f (0.0191), %.5f (0.0108), estimate %.3f", n, n, w, mean+half, mean-half, s.Estimate(c, &section).Relative)
		if n == 32 && (math.Abs(w/0.000408-1) > 0.02 || math.Abs((mean+half)/0.0191-1) > 0.02 || math.Abs((mean-half)/0.0108-1) > 0.03) {
			t.Errorf("w %g, moments %g, %g", w, mean+half, mean-half)
		}
	}
}
