package plate

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/golden"
	"sinew/material"
	"sinew/part"
)

// A study solves one problem on finer and finer meshes and tells its errors
// against the known answer: of displacement (or eigenvalue) and of stress.
type study struct {
	name  string
	solve func(t *testing.T, n int) (displacement, stress float64)
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
func navierErrors(slender float64) func(*testing.T, int) (float64, float64) {
	return func(t *testing.T, n int) (float64, float64) {
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
		return math.Sqrt(offW / sumW), math.Sqrt(offM / sumM)
	}
}

// ringErrors are those of a ring of radii 1 and 2 under inner pressure (Lamé):
// curved sides in the plane.
func ringErrors(t *testing.T, n int) (float64, float64) {
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
	return math.Sqrt(offU / sumU), math.Sqrt(offS / sumS)
}

// eigenErrors is that of the buckling load of the thick [0/90/90/0] square, told
// as a displacement.
func eigenErrors(t *testing.T, n int) (float64, float64) {
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
	return math.Abs(modes[0].Value/exact - 1), math.NaN()
}

// Errors against exact answers must fall at least as the theory of quadratic
// elements has it: displacements by the third power of the size, stresses by
// the second, eigenvalues by the fourth, whether the plate is thick or thin.
func TestConvergenceOrders(t *testing.T) {
	list := []study{
		{"[0/90/90/0], a/h 10", navierErrors(10), 2.8, 1.8, "#1f6fb4"},
		{"[0/90/90/0], a/h 1000", navierErrors(1000), 2.8, 1.8, "#d1495b"},
		{"ring under pressure", ringErrors, 2.8, 1.8, "#3a8f5c"},
		{"buckling, [0/90/90/0], a/h 10", eigenErrors, 3.6, 0, "#8a5fb0"},
	}
	sizes := []int{2, 4, 8, 16}
	d := &logDrawing{}
	d.begin()
	for i, s := range list {
		var u, f [][2]float64
		for _, n := range sizes {
			a, b := s.solve(t, n)
			u, f = append(u, [2]float64{1 / float64(n), a}), append(f, [2]float64{1 / float64(n), b})
		}
		last := len(sizes) - 1
		order := func(v [][2]float64) float64 { return math.Log2(v[last-1][1] / v[last][1]) }
		t.Logf("%s: displacement %.3g, order %.2f; stress %.3g, order %.2f", s.name, u[last][1], order(u), f[last][1], order(f))
		if order(u) < s.displacement || order(f) < s.stress {
			t.Errorf("%s: orders %.2f and %.2f, want %g and %g", s.name, order(u), order(f), s.displacement, s.stress)
		}
		d.series(0, s.pen, u)
		if s.stress > 0 {
			d.series(1, s.pen, f)
		}
		d.key(i, s.pen, s.name)
	}
	golden.Compare(t, "../../docs/figures/plate-convergence.svg", d.end())
}

// logDrawing draws two panels of error over element size.
type logDrawing struct{ b strings.Builder }

const (
	paneWidth, paneHeight, paneTop = 300.0, 300.0, 40.0
	lowest                         = 1e-7 // error at the bottom of a panel; the top is 1
)

func (d *logDrawing) at(pane int, q [2]float64) (x, y float64) {
	left := 70 + 390*float64(pane)
	return left + paneWidth*0.9*math.Log(16*q[0])/math.Log(8) + 15, paneTop + paneHeight*math.Log(q[1])/math.Log(lowest)
}

func (d *logDrawing) begin() {
	d.b.WriteString("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 800 480\" font-family=\"sans-serif\" font-size=\"12\"><rect width=\"800\" height=\"480\" fill=\"#fff\"/>\n")
	for pane, title := range []string{"displacement, buckling load", "stress, moments"} {
		left := 70 + 390*float64(pane)
		fmt.Fprintf(&d.b, "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"none\" stroke=\"#444\"/><text x=\"%.1f\" y=\"28\" text-anchor=\"middle\">relative error: %s</text>\n", left, paneTop, paneWidth, paneHeight, left+paneWidth/2, title)
		for k := 0; k >= -7; k-- {
			_, y := d.at(pane, [2]float64{1, math.Pow(10, float64(k))})
			fmt.Fprintf(&d.b, "<path d=\"M%.1f %.1fh%.1f\" stroke=\"#e2e2e2\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">1e%d</text>\n", left, y, paneWidth, left-5, y+4, k)
		}
		for _, n := range []int{2, 4, 8, 16} {
			x, _ := d.at(pane, [2]float64{1 / float64(n), 1})
			fmt.Fprintf(&d.b, "<path d=\"M%.1f %.1fv%.1f\" stroke=\"#e2e2e2\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">1/%d</text>\n", x, paneTop, paneHeight, x, paneTop+paneHeight+16, n)
		}
		fmt.Fprintf(&d.b, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">element side over side of the plate</text>\n", left+paneWidth/2, paneTop+paneHeight+34)
		slope := 3 - pane
		x0, y0 := d.at(pane, [2]float64{1.0 / 8, 3e-2})
		x1, y1 := d.at(pane, [2]float64{1.0 / 16, 3e-2 / math.Pow(2, float64(slope))})
		fmt.Fprintf(&d.b, "<path d=\"M%.1f %.1fL%.1f %.1fV%.1fZ\" fill=\"none\" stroke=\"#777\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%d</text>\n", x0, y0, x1, y1, y0, x1-4, (y0+y1)/2+4, slope)
	}
}

func (d *logDrawing) series(pane int, pen string, points [][2]float64) {
	var path strings.Builder
	for i, q := range points {
		x, y := d.at(pane, q)
		fmt.Fprintf(&path, "%c%.1f %.1f", "ML"[min(i, 1)], x, y)
		fmt.Fprintf(&d.b, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"3\" fill=\"%s\"/>", x, y, pen)
	}
	fmt.Fprintf(&d.b, "<path d=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"1.5\"/>\n", path.String(), pen)
}

func (d *logDrawing) key(i int, pen, name string) {
	x, y := 80+390*float64(i%2), 410+24*float64(i/2)
	fmt.Fprintf(&d.b, "<path d=\"M%.0f %.0fh30\" stroke=\"%s\" stroke-width=\"2\"/><text x=\"%.0f\" y=\"%.0f\">%s</text>\n", x, y, pen, x+38, y+4, name)
}

func (d *logDrawing) end() []byte {
	d.b.WriteString("</svg>\n")
	return []byte(d.b.String())
}
