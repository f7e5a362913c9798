package sinew_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"sinew/field"
	"sinew/geom"
	"sinew/job"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/printer"
	"sinew/proof"
	"sinew/strand"
	"sinew/stress"
)

// workshop is the bead, plastic and printer that the designs below share: carbon
// tow of 0.057 mm² dry fibre, layers of 0.32 mm, spacing 0.65 to 2 mm. All
// figures are stated for the comparison, none is measured.
type workshop struct {
	law     *material.Law
	plastic material.Lamina
	card    *printer.Card
}

func newWorkshop(t testing.TB) workshop {
	t.Helper()
	fibre := material.Phase{E1: 230e3, E2: 15e3, G12: 15e3, G23: 7e3, Nu12: 0.2, Density: 1.8e-3}
	resin := material.IsotropicPhase(3000, 0.35)
	resin.Density = 1.2e-3
	law, err := material.NewLaw(material.LawSettings{
		Tow:     material.Tow{ID: "tow", Fibre: fibre, Resin: resin, FibreArea: 0.057, Area: 0.103, FailureStrain: 0.0178},
		Plastic: material.Plastic{ID: "plastic", Density: 1.15e-3, Nu: 0.33, Dry: material.Curves{Modulus: [][2]float64{{23, 2200}}, Tension: [][2]float64{{23, 50}}}},
		Height:  0.32, SpacingMin: 0.65, SpacingMax: 2,
		Explicit: &material.Explicit{
			FibreModulus: 230e3, Efficiency: 0.95, MatrixModulus: 2200, MatrixShear: 850, InclusionModulus: 15e3,
			Nu12: 0.33, FibreTension: 0.0132, FibreCompression: 0.0066, Yt: 25, Yc: 80, S: 35,
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return workshop{
		law: law, plastic: material.Isotropic(2200, 0.33, 0, 1.15e-3),
		card: &printer.Card{
			CutterDistance: 45, TowRadius: 5, SpacingMin: 0.65, SpacingMax: 2,
			CompositeHeight: 0.32, PlasticHeight: 0.2, WallWidth: 0.6,
		},
	}
}

// specimen is a part with the way it is made and judged.
type specimen struct {
	part     *part.Part
	families []field.Request
	mask     float64
	guess    string
	refine   field.Refine
}

// outcome holds what the designs came to.
type outcome struct {
	layup   *field.Layup
	print   *strand.Print
	stats   strand.Stats
	designs map[string]design
	asked   float64 // fibre length of all layers asked for, mm
	printed []fibreMargin
}

// fibreMargin is the reserve against first fibre and first matrix failure under
// a case.
type fibreMargin struct {
	name            string
	reserve, matrix float64
}

// design is force at first failure by mode, N, and stiffness.
type design struct{ ft, fc, m, k float64 }

func (w workshop) make(t testing.TB, s specimen, size, arc float64) outcome {
	t.Helper()
	ctx := context.Background()
	m, err := mesh.Generate(s.part.Region, mesh.Settings{Size: size, ArcSize: arc})
	if err != nil {
		t.Fatal(err)
	}
	sys, err := stress.NewSystem(m, s.part, stress.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	in := field.Input{Part: s.part, System: sys, Stack: field.Stack{Law: w.law, Plastic: w.plastic.Reduced(), PlasticDensity: 1.15e-3}}
	var out outcome
	if out.layup, err = field.Plan(ctx, in, field.Settings{Families: s.families, Mask: s.mask, Guess: s.guess, Refine: s.refine, Draw: w.draw(s, sys)}); err != nil {
		t.Fatal(err)
	}
	set := strand.Settings{Region: s.part.Region, Thickness: s.part.Thickness, Bare: true}
	if out.print, err = strand.Lay(ctx, out.layup, w.card, set); err != nil {
		t.Fatal(err)
	}
	out.stats = out.print.Stats()
	layers := float64(len(out.layup.Layers))
	spacing := math.Min(w.card.SpacingMax, m.Area()*layers/out.stats.Length)
	even, err := field.Plan(ctx, in, field.Settings{Families: []field.Request{{Kind: field.Straight, Layers: int(layers), Spacing: spacing}}})
	if err != nil {
		t.Fatal(err)
	}
	flat, err := strand.Lay(ctx, even, w.card, set)
	if err != nil {
		t.Fatal(err)
	}
	res, err := proof.Prove(ctx, proof.Input{
		Part: s.part, System: sys, Law: w.law, Print: out.print, StraightPrint: flat, Layup: out.layup,
		Plastic:  proof.Plain{Title: "plastic", State: material.PlasticState{Phase: material.IsotropicPhase(2200, 0.33), Tension: 50, Compression: 60, Shear: 30}, Density: 1.15e-3},
		Settings: proof.Settings{Mask: s.mask},
	})
	if err != nil {
		t.Fatal(err)
	}
	out.designs = map[string]design{}
	for _, d := range res.Designs {
		out.designs[d.Name] = designOf(d, s.part)
		for i := range d.Cases {
			if m := d.Cases[i].Fibre(); d.Name == printedName && m != nil {
				out.printed = append(out.printed, fibreMargin{d.Cases[i].Case, m.Reserve, d.Cases[i].Of(proof.Matrix).Reserve})
			}
		}
	}
	for _, r := range s.families {
		out.asked += float64(r.Layers) * m.Area()
	}
	t.Log("\n" + out.table(res, s.part, m))
	return out
}

// draw draws strands for the planner where the specimen is refined.
func (w workshop) draw(s specimen, sys *stress.System) field.Draw {
	if s.refine.Steps == 0 {
		return nil
	}
	return func(ctx context.Context, l *field.Layup) ([]field.Ply, error) {
		pr, err := strand.Lay(ctx, l, w.card, strand.Settings{Region: s.part.Region, Bare: true})
		if err != nil {
			return nil, err
		}
		return job.Plies(pr, l, sys, 0, 2), nil
	}
}

func designOf(d proof.Design, p *part.Part) design {
	force := p.Cases[0].Loads[0].Force.Norm()
	at := func(mode proof.Mode) float64 {
		if m := d.Cases[0].Of(mode); m != nil {
			return m.Reserve * force
		}
		return math.Inf(1)
	}
	return design{at(proof.FibreTension), math.Min(at(proof.FibreCompression), at(proof.BearingPin)), at(proof.Matrix), d.Cases[0].Stiffness}
}

func (o *outcome) table(res *proof.Result, p *part.Part, m *mesh.Mesh) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d nodes\n%-26s %8s %8s %8s %8s\n", p.Name, len(m.Nodes), "kN, kN/mm", "FT", "FC", "M", "k")
	for _, d := range res.Designs {
		x := o.designs[d.Name]
		fmt.Fprintf(&b, "%-26s %8.3f %8.3f %8.3f %8.3f\n", d.Name, x.ft/1e3, x.fc/1e3, x.m/1e3, x.k/1e3)
	}
	st := o.stats
	fmt.Fprintf(&b, "%d strands (%d closed), length %.0f of %.0f mm, shortest %.1f, least radius %.2f at (%.1f, %.1f), widths %.3f, within limits %.4f, cut by holes %d\n",
		st.Count, st.Closed, st.Length, o.asked, st.Shortest, st.MinRadius, st.MinAt.X, st.MinAt.Y, st.Width, st.WithinLimits, st.CutByHole)
	for _, r := range o.layup.Rounds {
		fmt.Fprintf(&b, "  family %d %s round %d: energy %.5g, length %.0f\n", r.Family, r.Guess, r.Round, r.Compliance, r.Length)
	}
	for i, n := range o.layup.Steps {
		fmt.Fprintf(&b, "  step %d: value %.5f, fibre %.5f, matrix %.5f, energy %.5g, turning %.3f\n", i, n.Value, n.Fibre, n.Matrix, n.Energy, n.Turning)
	}
	for _, n := range append(o.layup.Notes, res.Notes...) {
		fmt.Fprintln(&b, " ", n)
	}
	return b.String()
}

// openHole is a strip of 150 × 36 × 3.2 mm with a hole of 12 mm, gripped at
// its ends.
func openHole() specimen {
	r := geom.Region{
		Outer: geom.Polyline(geom.Point{}, geom.Point{X: 150}, geom.Point{X: 150, Y: 36}, geom.Point{Y: 36}),
		Holes: []geom.Loop{geom.Circle(geom.Point{X: 75, Y: 18}, 6).Reverse()},
	}
	return specimen{
		part: &part.Part{
			Name: "open hole", Region: r, Thickness: 3.2,
			Features: []part.Feature{
				{Name: "left", Kind: part.Side, Loop: 0, Edges: []int{3}},
				{Name: "right", Kind: part.Side, Loop: 0, Edges: []int{1}},
				{Name: "hole", Kind: part.Hole, Loop: 1, Center: geom.Point{X: 75, Y: 18}, Diameter: 12},
			},
			Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
			Cases:    []part.Case{{Name: "tension", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}}},
		},
		families: []field.Request{{Name: "around the hole", Kind: field.Steered, Layers: 10, Spacing: 1}},
		mask:     10,
	}
}

// atLeast compares a ratio of designs with what it must reach.
func atLeast(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(got >= want) {
		t.Errorf("%s: %.4g, want at least %.4g", what, got, want)
	} else {
		t.Logf("%s: %.4g (at least %.4g)", what, got, want)
	}
}

const (
	printedName = "as printed"
	plannedName = "field as planned"
	evenName    = "quasi-isotropic, drilled"
	flatName    = "straight fibre, as printed"
	smearedName = "straight fibre, drilled"
)

// TestOpenHoleAsPrinted holds the textbook case to its figures.
func TestOpenHoleAsPrinted(t *testing.T) {
	o := newWorkshop(t).make(t, openHole(), 2, 0.1)
	p, q, s, i := o.designs[printedName], o.designs[evenName], o.designs[flatName], o.designs[plannedName]
	atLeast(t, "fibre tension against quasi-isotropic", p.ft/q.ft, 5.0)
	atLeast(t, "fibre tension against straight strands", p.ft/s.ft, 2.2)
	atLeast(t, "fibre tension against straight fibre, even", p.ft/o.designs[smearedName].ft, 2.2)
	atLeast(t, "matrix against quasi-isotropic", p.m/q.m, 2.6)
	atLeast(t, "stiffness against quasi-isotropic", p.k/q.k, 2.45)
	atLeast(t, "fibre tension, printed against planned", p.ft/i.ft, 0.90)
	atLeast(t, "stiffness, printed against planned", p.k/i.k, 0.95)
	atLeast(t, "shortest strand, mm", o.stats.Shortest, 45)
	atLeast(t, "least radius, mm", o.stats.MinRadius, 5)
	atLeast(t, "bead widths within limits", o.stats.WithinLimits, 0.99)
	atLeast(t, "fibre length against asked", o.stats.Length/o.asked, 0.96)
	atLeast(t, "asked fibre length against laid", o.asked/o.stats.Length, 0.96)
	if o.stats.CutByHole > 0 {
		t.Errorf("%d strand ends at the hole", o.stats.CutByHole)
	}
}

// TestOpenHoleRefined holds the refined strip to all its figures at once.
func TestOpenHoleRefined(t *testing.T) {
	s := openHole()
	s.refine = field.Refine{Steps: 30}
	o := newWorkshop(t).make(t, s, 2, 0.1)
	p, q, f := o.designs[printedName], o.designs[evenName], o.designs[smearedName]
	atLeast(t, "fibre tension against quasi-isotropic", p.ft/q.ft, 5.5)
	atLeast(t, "fibre tension against straight fibre, even", p.ft/f.ft, 2.4)
	atLeast(t, "matrix against quasi-isotropic", p.m/q.m, 3.8)
	atLeast(t, "stiffness against quasi-isotropic", p.k/q.k, 2.4)
	atLeast(t, "least radius, mm", o.stats.MinRadius, 5)
	atLeast(t, "shortest strand, mm", o.stats.Shortest, 45)
	atLeast(t, "bead widths within limits", o.stats.WithinLimits, 0.99)
	atLeast(t, "fibre length against asked", o.stats.Length/o.asked, 0.96)
	atLeast(t, "asked fibre length against laid", o.asked/o.stats.Length, 0.96)
	atLeast(t, "turning of the least-squares answer, half as much again, against the refined", 1.5/o.layup.Steps[o.layup.Kept].Turning, 1)
	if o.stats.CutByHole > 0 {
		t.Errorf("%d strand ends at the hole", o.stats.CutByHole)
	}
}

// link has two pin holes of 10 mm, 80 mm apart, and a lightening hole of 16 mm
// between them; its ends are round.
func link() *part.Part {
	const r, half = 14.35, 40.0
	outer := geom.Loop{
		{A: geom.Point{X: -half, Y: -r}, B: geom.Point{X: half, Y: -r}},
		{A: geom.Point{X: half, Y: -r}, B: geom.Point{X: half, Y: r}, Bulge: 1},
		{A: geom.Point{X: half, Y: r}, B: geom.Point{X: -half, Y: r}},
		{A: geom.Point{X: -half, Y: r}, B: geom.Point{X: -half, Y: -r}, Bulge: 1},
	}
	left, right := geom.Point{X: -half}, geom.Point{X: half}
	return &part.Part{
		Name: "link", Thickness: 3.2,
		Region: geom.Region{Outer: outer, Holes: []geom.Loop{
			geom.Circle(left, 5).Reverse(), geom.Circle(right, 5).Reverse(), geom.Circle(geom.Point{}, 8).Reverse(),
		}},
		Features: []part.Feature{
			{Name: "left pin", Kind: part.Hole, Loop: 1, Center: left, Diameter: 10},
			{Name: "right pin", Kind: part.Hole, Loop: 2, Center: right, Diameter: 10},
			{Name: "lightening hole", Kind: part.Hole, Loop: 3, Diameter: 16},
		},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Bearing, Force: geom.Point{X: 1000}}}}},
	}
}

// bracket is an L of two legs, 40 mm wide and 100 mm long outside, with an
// inner fillet of 8 mm, clamped at its upper end and sheared at its tip.
func bracket() *part.Part {
	f := math.Tan(math.Pi / 8) // bulge of a quarter circle
	outer := geom.Loop{
		{A: geom.Point{X: 12, Y: 0}, B: geom.Point{X: 100, Y: 0}},
		{A: geom.Point{X: 100, Y: 0}, B: geom.Point{X: 100, Y: 40}},
		{A: geom.Point{X: 100, Y: 40}, B: geom.Point{X: 48, Y: 40}},
		{A: geom.Point{X: 48, Y: 40}, B: geom.Point{X: 40, Y: 48}, Bulge: -f},
		{A: geom.Point{X: 40, Y: 48}, B: geom.Point{X: 40, Y: 100}},
		{A: geom.Point{X: 40, Y: 100}, B: geom.Point{X: 0, Y: 100}},
		{A: geom.Point{X: 0, Y: 100}, B: geom.Point{X: 0, Y: 12}},
		{A: geom.Point{X: 0, Y: 12}, B: geom.Point{X: 12, Y: 0}, Bulge: f},
	}
	return &part.Part{
		Name: "bracket", Thickness: 3.2, Region: geom.Region{Outer: outer},
		Features: []part.Feature{
			{Name: "clamp", Kind: part.Side, Loop: 0, Edges: []int{5}},
			{Name: "tip", Kind: part.Side, Loop: 0, Edges: []int{1}},
		},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "tip shear", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{Y: -1000}}}}},
	}
}

func crossing(degrees float64, layers int) field.Request {
	return field.Request{Name: fmt.Sprintf("%+.0f°", degrees), Kind: field.Straight, Angle: degrees * math.Pi / 180, Layers: layers, Spacing: 1}
}

// TestLinkAsPrinted holds loops around two pins, alone and with crossing
// layers, to their figures.
func TestLinkAsPrinted(t *testing.T) {
	w := newWorkshop(t)
	loops := field.Request{Name: "loops", Kind: field.Steered, Layers: 10, Spacing: 1}
	o := w.make(t, specimen{part: link(), families: []field.Request{loops}}, 1.5, 0.1)
	p, q := o.designs[printedName], o.designs[evenName]
	atLeast(t, "loops alone: fibre tension against quasi-isotropic", p.ft/q.ft, 2.1)
	atLeast(t, "loops alone: stiffness against quasi-isotropic", p.k/q.k, 1.35)
	// Level lines close around the pins; those that bend too sharply beside a
	// pin for the tow are opened there. No strand ends at a pin.
	if o.stats.CutByHole > 0 {
		t.Errorf("%d strand ends at the pins", o.stats.CutByHole)
	}
	atLeast(t, "loops alone: share of closed strands", float64(o.stats.Closed)/float64(o.stats.Count), 0.5)
	// Strands at ±45° would be shorter than the cutter allows across a link this
	// narrow, so that the crossing layers run flatter.
	loops.Layers = 6
	o = w.make(t, specimen{part: link(), families: []field.Request{loops, crossing(15, 2), crossing(-15, 2)}}, 1.5, 0.1)
	p, q = o.designs[printedName], o.designs[evenName]
	atLeast(t, "with crossing layers: fibre tension against quasi-isotropic", p.ft/q.ft, 1.7)
	atLeast(t, "with crossing layers: fibre compression against quasi-isotropic", p.fc/q.fc, 1)
	atLeast(t, "with crossing layers: stiffness against quasi-isotropic", p.k/q.k, 1.35)
	atLeast(t, "shortest strand, mm", o.stats.Shortest, 45)
}

// TestNarrowNeckIsFoundBeforehand asks for more fibre than passes beside the
// hole: 24 mm of ligaments take 36 strands 0.65 mm apart, a mean density of
// 1.3 per mm over 36 mm wants 47 of them.
func TestNarrowNeckIsFoundBeforehand(t *testing.T) {
	s := openHole()
	s.families[0].Spacing = 1 / 1.3
	o := newWorkshop(t).make(t, s, 3, 0.15)
	if len(o.layup.Neck) != 1 {
		t.Fatalf("%d necks reported, want 1", len(o.layup.Neck))
	}
	n := o.layup.Neck[0]
	t.Log(n)
	if math.Abs(n.Width-12) > 0.05 || n.Fits != 18 || n.Need <= n.Fits {
		t.Errorf("neck of %g mm takes %d of %d strands; it is 12 mm wide and takes 18", n.Width, n.Fits, n.Need)
	}
	atLeast(t, "area over-packed as asked", n.OverPacked, 0.15)
	atLeast(t, "bead widths within limits", o.stats.WithinLimits, 0.99)
}

// TestBracketAsPrinted holds a part in bending to its figures: one family
// alone splits at the inner corner, crossing layers cure it.
func TestBracketAsPrinted(t *testing.T) {
	w := newWorkshop(t)
	along := field.Request{Name: "along the legs", Kind: field.Steered, Layers: 10, Spacing: 1}
	o := w.make(t, specimen{part: bracket(), families: []field.Request{along}, mask: 10}, 2, 0.1)
	atLeast(t, "one family alone: least radius, mm", o.stats.MinRadius, 5)
	if p, q := o.designs[printedName], o.designs[evenName]; !(p.m < q.m) {
		t.Errorf("one family alone should split below quasi-isotropic: %g, %g", p.m, q.m)
	}
	along.Layers = 6
	o = w.make(t, specimen{part: bracket(), families: []field.Request{along, crossing(45, 2), crossing(-45, 2)}, mask: 10}, 2, 0.1)
	p, q := o.designs[printedName], o.designs[evenName]
	atLeast(t, "fibre tension against quasi-isotropic", p.ft/q.ft, 1.9)
	atLeast(t, "fibre compression against quasi-isotropic", p.fc/q.fc, 1.9)
	atLeast(t, "matrix against quasi-isotropic", p.m/q.m, 1.7)
	atLeast(t, "stiffness against quasi-isotropic", p.k/q.k, 1.6)
	atLeast(t, "least radius, mm", o.stats.MinRadius, 5)
}
