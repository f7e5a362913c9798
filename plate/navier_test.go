package plate

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
)

// layered is the lamina of the laminate benchmarks, in units of E2: Pagano,
// J. Compos. Mater. 4 (1970) 20; Reddy, J. Appl. Mech. 51 (1984) 745.
func layered(ratio, g12, g23 float64) material.Lamina {
	return material.Lamina{E1: ratio, E2: 1, G12: g12, G13: g12, G23: g23, Nu12: 0.25, Density: 1e6}
}

// simply returns a quarter of a simply supported rectangle a by b whose
// corner is (0, 0) and whose middle is (a/2, b/2). Edges are held as Navier's
// solution for cross-ply stacks has it: on x = 0 v, w and the tilt along the
// edge, and so forth.
func simply(cases ...part.Case) *part.Part {
	return &part.Part{
		Thickness: 1, Features: sides(), Cases: cases,
		Supports: []part.Support{
			{Feature: left, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Hinged},
			{Feature: bottom, Kind: part.Sliding, Across: part.Hinged},
			{Feature: right, Kind: part.Sliding, Across: part.Mirrored},
			{Feature: top, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Mirrored},
		},
	}
}

// sinusoidal sets the case's pressure to q0·sin(πx/a)·sin(πy/b), as forces at
// the integration points.
func sinusoidal(s *System, c *part.Case, a, b float64) {
	c.Bending.Points = nil
	for i, p := range s.Points() {
		q := math.Sin(math.Pi*p.X/a) * math.Sin(math.Pi*p.Y/b)
		c.Bending.Points = append(c.Bending.Points, part.PointLoad{At: p, Out: s.Weights()[i] * q})
	}
}

// middle returns w·100·E2·h³/(q0·a⁴) at the corner of the quarter.
func middle(t *testing.T, n int, a, b, h float64, l *material.Laminate, sine bool) float64 {
	t.Helper()
	p := simply(part.Case{Name: "press", Factor: 1})
	m := rectangle(n, n, a/2, b/2)
	s := newSystem(t, m, p, Settings{})
	if sine {
		sinusoidal(s, &p.Cases[0], a, b)
	} else {
		p.Cases[0].Bending.Pressure = 1
	}
	c := &solve(t, s, FromLaminate(l)).Cases[0]
	return 100 * h * h * h / math.Pow(a, 4) * c.D[5*nearestNode(m, geom.Point{X: a / 2, Y: b / 2})+dispW]
}

// Simply supported [0/90/90/0] square, E1/E2 25: first-order values with factor
// 5/6 of Reddy (1984), recomputed from Navier's series; 0.43125 is classical
// theory, which a/h 1000 must reach: no locking. Uniform load likewise.
func TestNavierCrossPly(t *testing.T) {
	for _, row := range []struct {
		slender, want float64
		sine          bool
		tolerance     float64
	}{
		{4, 1.7095, true, 1e-3}, {5, 0, true, 0}, {10, 0.66271, true, 1e-3}, {20, 0.4912, true, 1e-3}, {100, 0.4337, true, 1e-3}, {1000, 0.43127, true, 1e-3},
		{10, 1.0250, false, 1e-3}, {100, 0.6833, false, 1e-3}, {1000, 0.6797, false, 1e-3},
	} {
		h := 1 / row.slender
		l := stackOf(t, layered(25, 0.5, 0.2), h, 0, 90, 90, 0)
		if row.want == 0 {
			row.want, row.tolerance = navierDeflection(l, h), 1e-3
		}
		coarse, fine := middle(t, 4, 1, 1, h, l, row.sine), middle(t, 8, 1, 1, h, l, row.sine)
		t.Logf("a/h %g: %.5f, %.5f (want %.5f)", row.slender, coarse, fine, row.want)
		if math.Abs(fine-row.want) > row.tolerance*row.want {
			t.Errorf("a/h %g: %g, want %g", row.slender, fine, row.want)
		}
		if math.Abs(coarse-row.want) > 0.01*row.want {
			t.Errorf("a/h %g: coarse mesh gives %g, want %g", row.slender, coarse, row.want)
		}
	}
}

// navierDeflection is Navier's closed form of first-order theory for a square
// symmetric cross-ply stack of side 1 under q0·sin·sin, as 100·w·E2·h³/q0.
func navierDeflection(l *material.Laminate, h float64) float64 {
	d, k := &l.Stiff.D, math.Pi
	c11 := d[0]*k*k + d[5]*k*k + l.Shear[2]
	c12 := (d[1] + d[5]) * k * k
	c22 := d[5]*k*k + d[3]*k*k + l.Shear[0]
	b1, b2 := l.Shear[2]*k, l.Shear[0]*k
	det := c11*c22 - c12*c12
	x, y := (b1*c22-b2*c12)/det, (b2*c11-b1*c12)/det
	return 100 * h * h * h / ((l.Shear[2]+l.Shear[0])*k*k - b1*x - b2*y)
}

// Isotropic thin plates: simply supported 0.00406235 q a⁴/D (Timoshenko &
// Woinowsky-Krieger, Theory of Plates and Shells, 1959, table 8, more digits
// from Navier's series), clamped 0.00126, centre force 0.01160 and 0.00560
// P a²/D (tables 23, 35, 37).
func TestThinSquare(t *testing.T) {
	const h, e, nu = 1e-3, 1e6, 0.3
	d := e * h * h * h / 12 / (1 - nu*nu)
	g := e / 2 / (1 + nu)
	section := Homogeneous(material.Lamina{E1: e, E2: e, Nu12: nu, G12: g, G13: g, G23: g}, h)
	for _, row := range []struct {
		name      string
		across    part.Across
		force     bool
		want      float64
		tolerance float64
	}{
		{"simply supported, pressure", part.Hinged, false, 0.00406235, 1e-3},
		{"clamped, pressure", part.Clamped, false, 0.00126532, 2e-3},
		{"simply supported, force", part.Hinged, true, 0.01160, 3e-3},
		{"clamped, force", part.Clamped, true, 0.00560, 5e-3},
	} {
		p := simply(part.Case{Name: "press", Factor: 1})
		p.Supports[0].Across, p.Supports[1].Across = row.across, row.across
		if row.force {
			p.Cases[0].Bending.Points = []part.PointLoad{{At: geom.Point{X: 0.5, Y: 0.5}, Out: 0.25}}
		} else {
			p.Cases[0].Bending.Pressure = 1
		}
		m := rectangle(12, 12, 0.5, 0.5)
		c := &solve(t, newSystem(t, m, p, Settings{}), section).Cases[0]
		got := d * c.D[5*nearestNode(m, geom.Point{X: 0.5, Y: 0.5})+dispW]
		t.Logf("%s: %.6g (want %.6g)", row.name, got, row.want)
		if math.Abs(got-row.want) > row.tolerance*row.want {
			t.Errorf("%s: %g, want %g", row.name, got, row.want)
		}
	}
}
