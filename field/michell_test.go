package field

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// shareWithin returns the share of a family's fibre whose direction is within
// an angle of the wanted one.
func shareWithin(f *Family, points []geom.Point, weights []float64, angle float64, want func(geom.Point) float64) float64 {
	op := f.Operator(points)
	good, all := 0.0, 0.0
	for i, p := range points {
		b := f.FibreAt(op, i)
		if !b.Covered {
			continue
		}
		w := b.Rho * weights[i]
		all += w
		if math.Abs(math.Sin(b.Theta-want(p))) < math.Sin(angle) {
			good += w
		}
	}
	return good / all
}

const fiveDegrees = 5 * math.Pi / 180

// twoBars is a plate cut to the two bars at 45° that carry a force along a
// wall with least material (A. G. M. Michell, Phil. Mag. 8 (1904) 589; the
// simplest of his frames): one in tension, one in compression.
func twoBars() *part.Part {
	const reach, half, cut = 60.0, 4.0, 62.0 // slender: bars that bend want other fibre
	out, in := reach+half, reach-half
	return &part.Part{
		Name: "two bars", Thickness: 3.2,
		Region: geom.Region{Outer: geom.Polyline(
			geom.Point{Y: -out}, geom.Point{X: cut, Y: cut - out}, geom.Point{X: cut, Y: out - cut}, geom.Point{Y: out},
			geom.Point{Y: in}, geom.Point{X: in}, geom.Point{Y: -in},
		)},
		Features: []part.Feature{
			{Name: "upper foot", Kind: part.Side, Edges: []int{3}},
			{Name: "lower foot", Kind: part.Side, Edges: []int{6}},
			{Name: "tip", Kind: part.Side, Edges: []int{1}},
		},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}, {Feature: 1, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "along the wall", Factor: 1, Loads: []part.Load{{Feature: 2, Kind: part.Even, Force: geom.Point{Y: -1000}}}}},
	}
}

// curvedCantilever is a quarter ring held at one end and bent by a couple at
// the other: principal stresses run along and across the arcs everywhere
// (Golovin's solution: Timoshenko & Goodier, Theory of Elasticity, 1951, art.
// 27), and so do the members of the least frame for it, which carry no shear.
func curvedCantilever() *part.Part {
	const inner, mid, outer = 40.0, 50.0, 60.0
	b := math.Tan(math.Pi / 8)
	return &part.Part{
		Name: "curved cantilever", Thickness: 3.2,
		Region: geom.Region{Outer: geom.Loop{
			{A: geom.Point{X: inner}, B: geom.Point{X: mid}},
			{A: geom.Point{X: mid}, B: geom.Point{X: outer}},
			{A: geom.Point{X: outer}, B: geom.Point{Y: outer}, Bulge: b},
			{A: geom.Point{Y: outer}, B: geom.Point{Y: inner}},
			{A: geom.Point{Y: inner}, B: geom.Point{X: inner}, Bulge: -b},
		}},
		Features: []part.Feature{
			{Name: "inner half", Kind: part.Side, Edges: []int{0}},
			{Name: "outer half", Kind: part.Side, Edges: []int{1}},
			{Name: "foot", Kind: part.Side, Edges: []int{3}},
		},
		Supports: []part.Support{{Feature: 2, Kind: part.Fixed}},
		Cases: []part.Case{{Name: "couple", Factor: 1, Loads: []part.Load{
			{Feature: 0, Kind: part.Even, Force: geom.Point{Y: -1000}}, {Feature: 1, Kind: part.Even, Force: geom.Point{Y: 1000}},
		}}},
	}
}

// TestKnownOptima: where the best directions are known, nine tenths of the
// fibre run within 5° of them, by least squares and refined for
// stiffness, by which the least frame is the best.
func TestKnownOptima(t *testing.T) {
	for _, row := range []struct {
		name string
		part *part.Part
		want func(geom.Point) float64
	}{
		{"two bars", twoBars(), func(p geom.Point) float64 { return math.Copysign(math.Pi/4, -p.Y) }},
		{"curved cantilever", curvedCantilever(), func(p geom.Point) float64 { return math.Atan2(p.X, -p.Y) }},
	} {
		in := input(t, row.part, 3, 2)
		for name, steps := range map[string]int{"least squares": 0, "refined": 15} {
			l := plan(t, in, Settings{Families: []Request{{Kind: Steered, Layers: 10}}, Refine: Refine{Steps: steps, Goal: Stiffest}, Mask: 5})
			if got := shareWithin(&l.Families[0], in.System.Points(), in.System.Weights(), fiveDegrees, row.want); got < 0.9 {
				t.Errorf("%s, %s: %.3f of the fibre within 5°, want 0.9", row.name, name, got)
			}
		}
	}
}

// TestPrincipalDirectionsAtAHole compares the directions that the fit starts
// from with Kirsch's solution (Z. Ver. Dtsch. Ing. 42 (1898) 797) for a hole of
// radius a in a plate under tension s along x:
//
//	σr = s/2·[1 - a²/r² + (1 - 4a²/r² + 3a⁴/r⁴)·cos 2θ]
//	σθ = s/2·[1 + a²/r² - (1 + 3a⁴/r⁴)·cos 2θ]
//	τ  = -s/2·(1 + 2a²/r² - 3a⁴/r⁴)·sin 2θ
//
// on a square whose outline moves as that solution says.
func TestPrincipalDirectionsAtAHole(t *testing.T) {
	const a, half, e, nu, s, size = 5.0, 20.0, 70e3, 0.3, 100.0, 1.0
	p := plate(2*half, 2*half, a)
	p.Features = append(p.Features, part.Feature{Name: "outline", Kind: part.Side, Edges: []int{0, 1, 2, 3}})
	p.Supports = nil
	p.Cases = []part.Case{{Name: "far tension", Factor: 1}}
	centre := geom.Point{X: half, Y: half}
	move := func(at geom.Point) geom.Point {
		d := at.Sub(centre)
		r, q := d.Norm(), math.Atan2(d.Y, d.X)
		k := (3 - nu) / (1 + nu)
		g := e / (2 * (1 + nu))
		ur := s / (4 * g) * (r*((k-1)/2+math.Cos(2*q)) + a*a/r*(1+(1+k)*math.Cos(2*q)) - a*a*a*a/(r*r*r)*math.Cos(2*q))
		uq := s / (4 * g) * ((1-k)*a*a/r - r - a*a*a*a/(r*r*r)) * math.Sin(2*q)
		return geom.Point{X: ur*math.Cos(q) - uq*math.Sin(q), Y: ur*math.Sin(q) + uq*math.Cos(q)}
	}
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: size, ArcSize: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	sys, err := stress.NewSystem(m, p, stress.Settings{Enforced: []stress.Enforced{{Feature: 3, Move: move}}})
	if err != nil {
		t.Fatal(err)
	}
	sheet := stress.Isotropic(e, nu, 1)
	sol, err := sys.Solve(context.Background(), sheet)
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for i, f := range sys.Resultants(&sol.Cases[0], sheet) {
		d := sys.Points()[i].Sub(centre)
		r, q := d.Norm(), math.Atan2(d.Y, d.X)
		if r < a+size {
			continue
		}
		x := a * a / (r * r)
		sr := s / 2 * (1 - x + (1-4*x+3*x*x)*math.Cos(2*q))
		sq := s / 2 * (1 + x - (1+3*x*x)*math.Cos(2*q))
		tau := -s / 2 * (1 + 2*x - 3*x*x) * math.Sin(2*q)
		want := q + math.Atan2(2*tau, sr-sq)/2
		// Where the principal stresses are nearly alike a direction means nothing.
		if math.Hypot((sr-sq)/2, tau) < 0.05*s {
			continue
		}
		_, _, got := stress.Principal(f)
		worst = math.Max(worst, math.Abs(math.Asin(math.Sin(got-want))))
	}
	if worst > math.Pi/180 {
		t.Errorf("principal directions are off by up to %.3g°, want 1°", worst*180/math.Pi)
	}
	t.Logf("off by up to %.3g°", worst*180/math.Pi)
}

// threePins is a plate that hangs from one pin and is pulled at two.
func threePins() *part.Part {
	p := plate(80, 60, 0)
	p.Supports, p.Cases[0].Loads, p.Features = nil, nil, nil
	for i, c := range []geom.Point{{X: 15, Y: 15}, {X: 65, Y: 15}, {X: 40, Y: 45}} {
		p.Region.Holes = append(p.Region.Holes, geom.Circle(c, 5).Reverse())
		p.Features = append(p.Features, part.Feature{Name: string(rune('a' + i)), Kind: part.Hole, Loop: i + 1, Center: c, Diameter: 10})
	}
	p.Supports = []part.Support{{Feature: 0, Kind: part.Fixed}}
	for f := 1; f < 3; f++ {
		p.Cases[0].Loads = append(p.Cases[0].Loads, part.Load{Feature: f, Kind: part.Bearing, Force: geom.Point{X: 500}})
	}
	return p
}

// TestAllGuessesAreTried: where drawn strands decide, flow between edges and
// around all pins, loops around pairs of them, offsets of an edge and the fit to
// the principal stress alone are all tried, and the one that is kept is named.
func TestAllGuessesAreTried(t *testing.T) {
	in := input(t, threePins(), 4, 1)
	draw := func(_ context.Context, l *Layup) ([]Ply, error) { return l.plies(&in), nil }
	l := plan(t, in, Settings{Families: []Request{{Kind: Steered, Layers: 4, Spacing: 2}}, Draw: draw})
	if len(l.Choices) != 1 || !slices.ContainsFunc(l.Choices[0].Tried, func(g GuessTrial) bool { return g.Name == l.Choices[0].Kept }) {
		t.Fatalf("choices %v", l.Choices)
	}
	for _, name := range []string{"loops, ", "loops around pins 1 and 2, ", "loops around pins 1 and 3, ", "loops around pins 2 and 3, ", "offsets of an edge, ", "lengthwise, "} {
		if !slices.ContainsFunc(l.Choices[0].Tried, func(g GuessTrial) bool { return strings.HasPrefix(g.Name, name) }) {
			t.Errorf("%s is not among what was tried: %v", name, l.Choices[0].Tried)
		}
	}
}

// TestFurtherGuesses: three pins make three pairs, and the offsets of an edge
// keep their distance from it.
func TestFurtherGuesses(t *testing.T) {
	p := threePins()
	in := input(t, p, 4, 1)
	in.Mesh, in.Region = in.System.Mesh(), p.Region
	f := newFitter(context.Background(), &in, Settings{}.withDefaults())
	pairs, offsets, untied := 0, 0, 0
	for _, g := range furtherGuesses(stretches(in.Mesh, p), in.Mesh.Nodes) {
		if err := f.solveReference(&g, 1); err != nil {
			t.Fatal(err)
		}
		switch {
		case g.offset:
			offsets++
			for i, q := range in.Mesh.Nodes {
				want := math.Min(math.Min(q.X, 80-q.X), math.Min(q.Y, 60-q.Y))
				if math.Abs(g.ref[i]-want) > 1e-9 {
					t.Fatalf("%v lies %g mm from the outline, not %g", q, g.ref[i], want)
				}
			}
		case len(g.groups) == 0:
			untied++
		default:
			pairs++
			if a, b := g.ref[g.groups[0][0]], g.ref[g.groups[1][0]]; a != 0 || b != 0 {
				t.Errorf("%s: pins at %g and %g, want 0", g.name, a, b)
			}
		}
	}
	if pairs != 3 || offsets != 1 || untied != 1 {
		t.Errorf("%d pairs, %d offsets, %d untied; want 3, 1, 1", pairs, offsets, untied)
	}
}
