package material

import "testing"

// Laminae of the published record, GPa turned to MPa. The four of the failure
// exercise are Soden, Hinton, Kaddour, Compos. Sci. Technol. 58 (1998) 1011,
// Table 1, in its order.
type published struct {
	name     string
	lamina   Lamina
	strength Strength
}

func gpa(e1, e2, g12, nu12 float64) Lamina {
	return Lamina{E1: 1e3 * e1, E2: 1e3 * e2, G12: 1e3 * g12, Nu12: nu12}
}

var exercise = []published{
	{"glass/epoxy 1", gpa(53.48, 17.7, 5.83, 0.278), Strength{Xt: 1140, Xc: 570, Yt: 35, Yc: 114, S: 72}},
	{"glass/epoxy 2", gpa(45.6, 16.2, 5.83, 0.278), Strength{Xt: 1280, Xc: 800, Yt: 40, Yc: 145, S: 73}},
	{"carbon/epoxy 3", gpa(126, 11, 6.6, 0.28), Strength{Xt: 1950, Xc: 1480, Yt: 48, Yc: 200, S: 79}},
	{"carbon/epoxy 4", gpa(138, 11, 5.5, 0.28), Strength{Xt: 1500, Xc: 900, Yt: 27, Yc: 200, S: 80}},
}

// kawCarbon is the graphite/epoxy of Kaw, Mechanics of Composite Materials,
// 2nd ed. (2006), Table 2.1, after Tsai & Hahn (1980).
func kawCarbon() published {
	l := gpa(181, 10.3, 7.17, 0.28)
	l.Alpha1, l.Alpha2 = 0.02e-6, 22.5e-6
	return published{"graphite/epoxy", l, Strength{Xt: 1500, Xc: 1500, Yt: 40, Yc: 246, S: 68}}
}

func (p published) ply(tb testing.TB) *Ply {
	tb.Helper()
	y, err := NewPly(p.lamina, p.strength, Judge{})
	if err != nil {
		tb.Fatal(err)
	}
	return y
}

// stackOf stacks one ply at angles in degrees, bottom first, each of the same
// thickness, about the middle plane.
func stackOf(tb testing.TB, p *Ply, thickness float64, degrees ...float64) *Laminate {
	tb.Helper()
	var layers []Layer
	for _, d := range degrees {
		layers = append(layers, Layer{Ply: p, Theta: d * degree, Thickness: thickness})
	}
	l, err := NewLaminate(layers, 0)
	if err != nil {
		tb.Fatal(err)
	}
	return l
}
