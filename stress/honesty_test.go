package stress

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/hold"
	"sinew/internal/golden"
	"sinew/internal/shapes"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// known is a problem whose answer is known at every point. The outline moves as
// the answer says on the loops' edges that are not free.
type known struct {
	name, source string
	region       geom.Region
	free         []int // edges of the outer loop left free of load; holes are free
	sheet        Sheet
	answer       exact
	size         float64
	load         part.Case // body force
}

// fine is a rule of degree five on the triangle (J. Radon 1948; G. R. Cowper,
// Int. J. Numer. Methods Eng. 7 (1973) 405): the true error is integrated with it.
var fine = []struct {
	b [3]float64
	w float64
}{
	{[3]float64{1. / 3, 1. / 3, 1. / 3}, 0.225},
	{[3]float64{0.059715871789770, 0.470142064105115, 0.470142064105115}, 0.132394152788506},
	{[3]float64{0.470142064105115, 0.059715871789770, 0.470142064105115}, 0.132394152788506},
	{[3]float64{0.470142064105115, 0.470142064105115, 0.059715871789770}, 0.132394152788506},
	{[3]float64{0.797426985353087, 0.101286507323456, 0.101286507323456}, 0.125939180544827},
	{[3]float64{0.101286507323456, 0.797426985353087, 0.101286507323456}, 0.125939180544827},
	{[3]float64{0.101286507323456, 0.101286507323456, 0.797426985353087}, 0.125939180544827},
}

// trueError is the energy norm of the difference to the answer.
func trueError(s *System, c *CaseSolution, sheet Sheet, answer exact) float64 {
	m, total := s.Mesh(), 0.0
	a := sheet.StiffnessAt(0)
	for t := range m.Tris {
		tri := &m.Tris[t]
		for _, q := range fine {
			g, det := m.Gradient(t, q.b)
			d := answer.strain(m.At(t, q.b))
			for i, n := range tri {
				ux, uy := c.U[2*n], c.U[2*n+1]
				d[0] -= g[i].X * ux
				d[1] -= g[i].Y * uy
				d[2] -= g[i].Y*ux + g[i].X*uy
			}
			total += q.w * det / 2 * dot(d, a.Mul(d))
		}
	}
	return math.Sqrt(total)
}

func (k *known) solve(t *testing.T) (s *System, c *CaseSolution) {
	t.Helper()
	p := &part.Part{Region: k.region, Thickness: 1, Cases: []part.Case{k.load}}
	p.Cases[0].Name, p.Cases[0].Factor = k.name, 1
	var set Settings
	for i := range k.region.Outer {
		p.Features = append(p.Features, part.Feature{Name: fmt.Sprint(i), Kind: part.Side, Edges: []int{i}})
		isFree := false
		for _, f := range k.free {
			isFree = isFree || f == i
		}
		if !isFree {
			set.Enforced = append(set.Enforced, Enforced{Feature: i, Move: k.answer.move})
		}
	}
	m, err := mesh.Generate(k.region, mesh.Settings{Size: k.size})
	if err != nil {
		t.Fatal(err)
	}
	s, err = NewSystem(m, p, set)
	if err != nil {
		t.Fatalf("%s: %v", k.name, err)
	}
	return s, &solve(t, s, k.sheet).Cases[0]
}

const youngs, poisson = 70e3, 0.3

// carbon is T300/5208 of Tsai & Hahn, Introduction to Composite Materials (1980).
var carbon = material.Lamina{E1: 181e3, E2: 10.3e3, G12: 7.17e3, Nu12: 0.28}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// sector is the part of a ring from 0 to angle: edges start, outer arc, end,
// inner arc.
func sector(inner, outer, angle float64) geom.Region {
	bulge, d := math.Tan(angle/4), hold.Direction(angle)
	return geom.Region{Outer: geom.Loop{
		{A: pt(inner, 0), B: pt(outer, 0)},
		{A: pt(outer, 0), B: d.Scale(outer), Bulge: bulge},
		{A: d.Scale(outer), B: d.Scale(inner)},
		{A: d.Scale(inner), B: pt(inner, 0), Bulge: -bulge},
	}}
}

// corner is a disc's sector about a corner at the origin with its faces at
// ±angle/2: edges lower face, arc, upper face.
func corner(r, angle float64) geom.Region {
	a, b := hold.Direction(-angle/2).Scale(r), hold.Direction(angle/2).Scale(r)
	mid := pt(r, 0)
	bulge := math.Tan(angle / 8)
	return geom.Region{Outer: geom.Loop{{A: pt(0, 0), B: a}, {A: a, B: mid, Bulge: bulge}, {A: mid, B: b, Bulge: bulge}, {A: b, B: pt(0, 0)}}}
}

// notch is M. L. Williams' first symmetric field at a corner of free faces, J.
// Appl. Mech. 19 (1952) 526: φ = z^λ, ψ = R·z^λ, where sin(λα) = −λ·sin α for the
// corner's angle α.
func notch(angle float64) exact {
	lambda := 0.5
	for range 60 {
		lambda -= (math.Sin(lambda*angle) + lambda*math.Sin(angle)) / (angle*math.Cos(lambda*angle) + math.Sin(angle))
	}
	// Free faces: φ + z·conj(φ') + conj(ψ) is constant on them; at the angle
	// α/2 its real part and its imaginary part give the same R.
	h := angle / 2
	ratio := -(math.Cos(lambda*h) + lambda*math.Cos((2-lambda)*h)) / math.Cos(lambda*h)
	return kolosov(youngs, poisson, power(1, lambda), power(complex(ratio, 0), lambda))
}

// curvedBeam is pure bending of a ring's sector with free arcs (H. Golovin
// 1881; S. Timoshenko, J. N. Goodier, Theory of Elasticity, § 29): the stress
// function A·ln r + r²·ln r + C·r².
func curvedBeam(inner, outer float64) exact {
	// σr = A/r² + 1 + 2 ln r + 2C = 0 on both arcs
	a := (2 * math.Log(inner/outer)) / (1/(outer*outer) - 1/(inner*inner))
	c := -(a/(inner*inner) + 1 + 2*math.Log(inner)) / 2
	return kolosov(youngs, poisson, sum(logarithm(1), power(complex(c, 0), 1)), pole(complex(a, 0), 0))
}

func isotropicSheet() Sheet { return Isotropic(youngs, poisson, 1) }

func knownProblems() []known {
	iso := func(phi, psi potential) exact { return kolosov(youngs, poisson, phi, psi) }
	none := power(0, 1)
	ply := Sheet{A: []material.Stiffness{carbon.Reduced().Turn(0)}}
	plyAt := func(a float64) Sheet { return Sheet{A: []material.Stiffness{carbon.Reduced().Turn(a)}} }
	ortho := func(f func(z complex128) (f, df complex128)) exact {
		return lekhnitskii(carbon, func(_ int, _, _, z complex128) (complex128, complex128) { return f(z) })
	}
	quarter := quarterHole(5, 25, 25).Region
	whole := shapes.Strip(60, 60, 10)
	const rho = 2e-3 // N/mm³
	heavy := isotropicSheet()
	heavy.Mass = []float64{1}
	down := part.Case{Acceleration: pt(0, rho*1e6)} // 1 g/mm² · mm/s² = 1e-6 N/mm²
	spinning := func(rate float64) part.Case { return part.Case{Spin: part.Spin{Rate: rate}} }
	beam := shapes.Rectangle(0, -6, 48, 12)
	// cantilever: stress function x·y³ − 3c²·x·y (Timoshenko & Goodier, § 21)
	cantilever := iso(power(-0.25i, 3), sum(power(0.5i, 3), power(3i*36, 1)))
	L := corner(20, 3*math.Pi/2)
	return []known{
		{"hole, tension along x, quarter", "Kirsch 1898", quarter, []int{4}, isotropicSheet(), kirsch(youngs, poisson, 5), 4, part.Case{}},
		{"the same, finer", "Kirsch 1898", quarter, []int{4}, isotropicSheet(), kirsch(youngs, poisson, 5), 1.5, part.Case{}},
		{"hole, tension at 30°, whole plate", "Kirsch 1898", whole, nil, isotropicSheet(), kirsch(youngs, poisson, 5).turned(math.Pi / 6), 6, part.Case{}},
		{"ring under inner pressure", "Lamé 1852", sector(10, 20, math.Pi/2), nil, isotropicSheet(), iso(power(0.25, 1), pole(-400, 0)), 3, part.Case{}},
		{"spinning ring", "Timoshenko & Goodier § 32", sector(10, 30, math.Pi/2), []int{1, 3}, heavy, spinningRing(10, 30, 1e-6*1e6), 4, spinning(1e3)},
		{"curved bar in bending", "Golovin 1881", sector(10, 20, math.Pi/2), []int{1, 3}, isotropicSheet(), curvedBeam(10, 20), 2.5, part.Case{}},
		{"cantilever under end load", "Timoshenko & Goodier § 21", beam, []int{0, 2}, isotropicSheet(), cantilever, 4, part.Case{}},
		{"field of fourth degree", "Muskhelishvili § 32", shapes.Plate(30, 20), nil, isotropicSheet(), iso(power(1, 4), power(2i, 3)), 3, part.Case{}},
		{"exponential field", "Muskhelishvili § 32", shapes.Plate(30, 20), nil, isotropicSheet(), iso(exponential(1, 0.15), exponential(1, 0.1i)), 3, part.Case{}},
		{"waves along x", "Muskhelishvili § 32", shapes.Plate(40, 16), nil, isotropicSheet(), iso(exponential(1, 0.3i), none), 3, part.Case{}},
		{"pole outside the part", "Muskhelishvili § 32", shapes.Plate(30, 20), nil, isotropicSheet(), iso(pole(100, -8+6i), pole(50, 12+30i)), 2, part.Case{}},
		{"field of fifth degree, bracket", "Muskhelishvili § 32", shapes.LBracket(), nil, isotropicSheet(), iso(power(1e-6, 5), none), 10, part.Case{}},
		{"weight and a cubic field", "superposed", shapes.Plate(30, 20), nil, heavy, weight(youngs, poisson, rho).plus(iso(power(1e-4, 3), power(2e-3, 3))), 4, down},
		{"weight and waves", "superposed", shapes.Plate(40, 16), nil, heavy, weight(youngs, poisson, rho).plus(iso(exponential(0.05, 0.3i), none)), 3, down},
		{"re-entrant corner of 270°", "Williams 1952", L, []int{0, 3}, isotropicSheet(), notch(3 * math.Pi / 2), 3, part.Case{}},
		{"the same, finer", "Williams 1952", L, []int{0, 3}, isotropicSheet(), notch(3 * math.Pi / 2), 1, part.Case{}},
		{"re-entrant corner of 225°", "Williams 1952", corner(20, 5*math.Pi/4), []int{0, 3}, isotropicSheet(), notch(5 * math.Pi / 4), 2.5, part.Case{}},
		{"orthotropic hole, along the fibres", "Lekhnitskii § 38", quarter, []int{4}, ply, orthotropicHole(carbon, 5), 2, part.Case{}},
		{"orthotropic hole, across the fibres", "Lekhnitskii § 38", quarter, []int{4}, plyAt(math.Pi / 2), orthotropicHole(carbon, 5).turned(math.Pi / 2), 2, part.Case{}},
		{"orthotropic hole, fibres at 30°", "Lekhnitskii § 38", whole, nil, plyAt(math.Pi / 6), orthotropicHole(carbon, 5).turned(math.Pi / 6), 4, part.Case{}},
		{"orthotropic cubic field", "Lekhnitskii § 8", shapes.Plate(30, 20), nil, ply, ortho(func(z complex128) (complex128, complex128) { return z * z * z, 3 * z * z }), 4, part.Case{}},
		{"orthotropic exponential field at 20°", "Lekhnitskii § 8", shapes.Plate(30, 20), nil, plyAt(math.Pi / 9), ortho(func(z complex128) (complex128, complex128) {
			f, df, _ := exponential(1, 0.12)(z)
			return f, df
		}).turned(math.Pi / 9), 2.5, part.Case{}},
	}
}

// spinningRing is a ring with free arcs, ρω² = k N/mm⁴ (Timoshenko & Goodier,
// § 32).
func spinningRing(a, b, k float64) exact {
	e, nu := youngs, poisson
	p, q := (3+nu)/8*k, (1+3*nu)/8*k
	stress := func(r float64) (sr, st float64) {
		sr = p * (a*a + b*b - a*a*b*b/(r*r) - r*r)
		st = p*(a*a+b*b+a*a*b*b/(r*r)) - q*r*r
		return sr, st
	}
	return exact{
		move: func(pt geom.Point) geom.Point {
			r := pt.Norm()
			sr, st := stress(r)
			return pt.Scale((st - nu*sr) / e)
		},
		strain: func(pt geom.Point) [3]float64 {
			sr, st := stress(pt.Norm())
			s := material.TurnStress([3]float64{sr, st, 0}, -math.Atan2(pt.Y, pt.X))
			return [3]float64{(s[0] - nu*s[1]) / e, (s[1] - nu*s[0]) / e, 2 * (1 + nu) / e * s[2]}
		},
	}
}

// TestErrorEstimateIsHonest: on problems with known answers the true error lies
// between half and twice the estimated one. The table it prints is a page of
// the manual.
func TestErrorEstimateIsHonest(t *testing.T) {
	var b strings.Builder
	b.WriteString(honestyHead)
	for _, k := range knownProblems() {
		s, c := k.solve(t)
		est := s.Estimate(c, k.sheet)
		estimated := est.Relative * est.Norm
		wrong := trueError(s, c, k.sheet, k.answer)
		ratio := wrong / estimated
		fmt.Fprintf(&b, "| %s | %s | %d | %.2f | %.2f | %.2f |\n", k.name, k.source, len(s.Mesh().Tris), 100*wrong/est.Norm, 100*est.Relative, ratio)
		if !(ratio >= 0.5 && ratio <= 2) {
			t.Errorf("%s: true error is %.3f of the estimate (%.3g of %.3g)", k.name, ratio, wrong/est.Norm, est.Relative)
		}
	}
	golden.Compare(t, "../../docs/method/error-estimate.md", []byte(b.String()))
}

const honestyHead = `# The error estimate against known answers

Each problem has an answer in closed form: the outline moves as it says (but for
free edges and holes), and the difference between the element strains and the
exact ones, integrated in the energy norm by a rule of degree five, is the true
error. Errors are shares of the solution's energy norm. Made by
` + "`go test ./stress -run Honest -update`" + `.

| problem | source | triangles | true error % | estimated % | true / estimated |
|---|---|---|---|---|---|
`
