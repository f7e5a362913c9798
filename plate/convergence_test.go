package plate

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/golden"
	"sinew/internal/orders"
	"sinew/material"
	"sinew/part"
)

// A study solves one problem on finer and finer meshes and tells its errors
// against the known answer: of displacement (or eigenvalue) and of stress; and
// what the estimate says, energy norm.
type study struct {
	name  string
	solve func(t *testing.T, n int) (displacement, stress, estimate float64)
	// least orders that theory promises: errors fall as size to this power
	displacement, stress float64
	pen                  string
}

// navierFields returns first-order theory's amplitudes of deflection and tilts
// for a square symmetric cross-ply stack of side 1 under sin·sin.
func navierFields(l *material.Laminate, h float64) (w, x, y float64) {
	d, k := &l.Stiff.D, math.Pi
	w = navierDeflection(l, h) / (100 * h * h * h)
	c11, c12, c22 := (d[0]+d[5])*k*k+l.Shear[2], (d[1]+d[5])*k*k, (d[5]+d[3])*k*k+l.Shear[0]
	b1, b2 := -l.Shear[2]*k*w, -l.Shear[0]*k*w
	det := c11*c22 - c12*c12
	return w, (b1*c22 - b2*c12) / det, (b2*c11 - b1*c12) / det
}

// navierErrors are those of deflection and of moments over the plate, root mean
// squares relative to the exact ones.
func navierErrors(slender float64) func(*testing.T, int) (u, q, est float64) {
	return func(t *testing.T, n int) (u, q, est float64) {
		h := 1 / slender
		l := stackOf(t, layered(25, 0.5, 0.2), h, 0, 90, 90, 0)
		p := simply(part.Case{Name: "press", Factor: 1})
		s := newSystem(t, rectangle(n, n, 0.5, 0.5), p, Settings{})
		sinusoidal(s, &p.Cases[0], 1, 1)
		section := FromLaminate(l)
		c := &solve(t, s, section).Cases[0]
		w, x, y := navierFields(l, h)
		var offW, sumW, offM, sumM float64
		resultants := s.Resultants(c, &section)
		for i, at := range s.Points() {
			sx, cx := math.Sincos(math.Pi * at.X)
			sy, cy := math.Sincos(math.Pi * at.Y)
			exact := w * sx * sy
			offW += s.Weights()[i] * sq(s.deflection(i, c.D)-exact)
			sumW += s.Weights()[i] * sq(exact)
			m := l.Stiff.D.Mul([3]float64{-math.Pi * x * sx * sy, -math.Pi * y * sx * sy, math.Pi * (x + y) * cx * cy})
			for k := range m {
				offM += s.Weights()[i] * sq(resultants[i][3+k]-m[k])
				sumM += s.Weights()[i] * sq(m[k])
			}
		}
		return math.Sqrt(offW / sumW), math.Sqrt(offM / sumM), s.Estimate(c, &section).Relative
	}
}

// ringErrors are those of a ring of radii 1 and 2 under inner pressure (Lamé):
// curved sides in the plane.
func ringErrors(t *testing.T, n int) (disp, str, est float64) {
	const e, nu = 1.0, 0.3
	m := gridMesh(n, n, func(s, u float64) geom.Point {
		sn, c := math.Sincos(math.Pi / 2 * (1 - s))
		return geom.Point{X: (1 + u) * c, Y: (1 + u) * sn}
	})
	p := &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "press", Factor: 1, Loads: []part.Load{{Feature: bottom, Kind: part.Pressure, Force: geom.Point{X: 1}}}}},
		Supports: []part.Support{{Feature: left, Kind: part.Sliding, Across: part.Clamped}, {Feature: right, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Clamped}}}
	s := newSystem(t, m, p, Settings{})
	section := Homogeneous(isotropic(e, nu), 1)
	c := &solve(t, s, section).Cases[0]
	var offU, sumU, offS, sumS float64
	for i, r := range s.Resultants(c, &section) {
		at, u := s.Points()[i], geom.Point{}
		for k, node := range m.Tris[i/PointsPerTri] {
			u = u.Add(geom.Point{X: c.D[5*node], Y: c.D[5*node+1]}.Scale(constants.points[i%PointsPerTri].n[k]))
		}
		radius := at.Norm()
		exact := ((1-nu)*radius + (1+nu)*4/radius) / (3 * e) // a 1, b 2, p 1
		offU += s.Weights()[i] * sq(u.Dist(at.Scale(exact/radius)))
		sumU += s.Weights()[i] * sq(exact)
		sr, st := (1-4/(radius*radius))/3, (1+4/(radius*radius))/3
		cs, sn := at.X/radius, at.Y/radius
		want := [3]float64{sr*cs*cs + st*sn*sn, sr*sn*sn + st*cs*cs, (sr - st) * cs * sn}
		for k := range want {
			offS += s.Weights()[i] * sq(r[k]-want[k])
			sumS += s.Weights()[i] * sq(want[k])
		}
	}
	return math.Sqrt(offU / sumU), math.Sqrt(offS / sumS), s.Estimate(c, &section).Relative
}

// bucklingErrors is that of the buckling load of the thick [0/90/90/0] square, told
// as a displacement.
func bucklingErrors(t *testing.T, n int) (load, none, est float64) {
	const h = 0.1
	l := stackOf(t, layered(40, 0.6, 0.5), h, 0, 90, 90, 0)
	section := FromLaminate(l)
	s := newSystem(t, rectangle(n, n, 0.5, 0.5), simply(part.Case{Name: "swing", Factor: 1}), Settings{})
	pressed := make([][3]float64, len(s.Points()))
	for i := range pressed {
		pressed[i] = [3]float64{-1, 0, 0}
	}
	modes, err := s.buckle(context.Background(), &section, 0, pressed, 1)
	if err != nil {
		t.Fatal(err)
	}
	w := navierDeflection(l, h) / (100 * h * h * h)
	exact := 1 / (w * math.Pi * math.Pi) // the load that w of a unit of sin·sin makes endless
	return math.Abs(modes[0].Value/exact - 1), math.NaN(), math.NaN()
}

// Errors against exact answers must fall at least as the theory of quadratic
// elements has it: displacements by the third power of the size, stresses by
// the second, eigenvalues by the fourth, whether the plate is thick or thin.
func TestConvergenceOrders(t *testing.T) {
	list := []study{
		{"[0/90/90/0], a/h 10", navierErrors(10), 2.8, 1.8, "#1f6fb4"},
		{"[0/90/90/0], a/h 1000", navierErrors(1000), 2.8, 1.8, "#d1495b"},
		{"ring under pressure", ringErrors, 2.8, 1.8, "#3a8f5c"},
		{"buckling, [0/90/90/0], a/h 10", bucklingErrors, 3.6, 0, "#8a5fb0"},
	}
	figure := &orders.Figure{
		Panels: []orders.Panel{{Title: "displacement, buckling load", Slope: 3}, {Title: "stress, moments", Slope: 2}},
		Cells:  []int{2, 4, 8, 16}, Across: "side of the plate", Floor: -7,
	}
	for _, s := range list {
		s.draw(t, figure)
	}
	golden.Compare(t, "../../docs/figures/plate-convergence.svg", figure.SVG())
}

// draw runs a study on all meshes of a figure and holds its orders.
func (s *study) draw(t *testing.T, f *orders.Figure) {
	t.Helper()
	var u, q, est []float64
	for _, n := range f.Cells {
		a, b, e := s.solve(t, n)
		u, q, est = append(u, a), append(q, b), append(est, e)
	}
	last := len(u) - 1
	t.Logf("%s: displacement %.3g, order %.2f; stress %.3g, order %.2f; estimate %.3g", s.name, u[last], f.Order(u), q[last], f.Order(q), est[last])
	if f.Order(u) < s.displacement || f.Order(q) < s.stress {
		t.Errorf("%s: orders %.2f and %.2f, want %g and %g", s.name, f.Order(u), f.Order(q), s.displacement, s.stress)
	}
	f.Add(orders.Series{Panel: 0, Pen: s.pen, Errors: u})
	if s.stress > 0 {
		f.Add(orders.Series{Panel: 1, Pen: s.pen, Errors: q})
		f.Add(orders.Series{Panel: 1, Pen: s.pen, Errors: est, Estimated: true})
		if ratio := q[last] / est[last]; ratio < 0.4 || ratio > 2.5 {
			t.Errorf("%s: the stress error is %.2f of the estimate", s.name, ratio)
		}
	}
	f.Key(s.pen, s.name)
}
