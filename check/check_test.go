package check

import (
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/part"
	"sinew/printer"
	"sinew/strand"
)

var update = flag.Bool("update", false, "write the table of docs/method/findings.md anew")

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func rectangle(w, h float64) geom.Region {
	return geom.Region{Outer: geom.Polyline(pt(0, 0), pt(w, 0), pt(w, h), pt(0, h))}
}

// row is a straight strand from x0 to x1 at height y.
func row(x0, x1, y, width float64) strand.Strand {
	s := strand.Strand{Start: strand.AtEdge, End: strand.AtEdge}
	n := int(math.Ceil(math.Abs(x1-x0) / 0.5))
	for i := 0; i <= n; i++ {
		s.Points = append(s.Points, pt(x0+(x1-x0)*float64(i)/float64(n), y))
		s.Width = append(s.Width, width)
	}
	return s
}

// arch is a strand that turns half a circle of the given radius between two
// straight legs of 40 mm.
func arch(radius float64) strand.Strand {
	s := strand.Strand{}
	add := func(p geom.Point) {
		s.Points, s.Width = append(s.Points, p), append(s.Width, 1)
	}
	for x := 10.0; x < 50; x += 0.5 {
		add(pt(x, 5-radius))
	}
	n := int(math.Ceil(math.Pi * radius / 0.5))
	for i := 0; i <= n; i++ {
		a := math.Pi * (float64(i)/float64(n) - 0.5)
		add(pt(50+radius*math.Cos(a), 5+radius*math.Sin(a)))
	}
	for x := 49.5; x > 10; x -= 0.5 {
		add(pt(x, 5+radius))
	}
	return s
}

// sound is a print of one composite layer between two covers that no rule
// finds fault with.
func sound() Input {
	region := rectangle(100, 10)
	l := strand.Layer{Index: 1, Kind: strand.Composite, Z: 0.52, Height: 0.32}
	for y := 0.5; y < 10; y++ {
		l.Strands = append(l.Strands, row(0.4, 99.6, y, 1))
	}
	pr := &strand.Print{
		Region: region, Composite: region, SpacingMin: 0.65, SpacingMax: 2,
		Layers: []strand.Layer{
			{Index: 0, Composite: -1, Z: 0.2, Height: 0.2, Family: -1}, l,
			{Index: 2, Composite: -1, Z: 0.72, Height: 0.2, Family: -1},
		},
	}
	var use []Utilisation
	for x := 5.0; x < 100; x += 10 { // the tenth at 50..60 is the highest
		use = append(use, Utilisation{At: pt(x, 5), Area: 100, Value: 1 - math.Abs(x-55)/100})
	}
	return Input{
		Print: pr, Part: &part.Part{Region: region, Thickness: 0.72},
		Card: &printer.Card{
			CutterDistance: 45, TowRadius: 5, SpacingMin: 0.65, SpacingMax: 2, TowShareMax: 0.5,
			Bed: printer.Bed{X: 250, Y: 200, Z: 150}, NozzleMax: 300, BedMax: 110, CoverBelow: true, CoverAbove: true,
		},
		PlasticName: "polyamide", PlasticTemperature: 260, BedTemperature: 80,
		TowArea: 0.1, Utilisation: use,
	}
}

func TestSoundPrintHasNoFindings(t *testing.T) {
	if got := Run(sound()); len(got) != 0 {
		t.Errorf("got %+v, want none", got)
	}
}

// layer returns the composite layer of a sound print.
func layer(in Input) *strand.Layer { return &in.Print.Layers[1] }

// spoil holds for each rule one change of the sound print that it must find.
var spoil = []struct {
	id       string
	severity Severity
	layer    int
	count    int
	near     geom.Point // of the finding
	within   float64
	change   func(*Input)
}{
	{"short-strand", Stop, 1, 2, pt(20, 0.5), 0.6, func(in *Input) {
		layer(*in).Strands[0], layer(*in).Strands[1] = row(0.4, 40.4, 0.5, 1), row(0.4, 45.3, 1.5, 1)
	}},
	{"sharp-bend", Stop, 1, 1, pt(52, 5), 3, func(in *Input) { layer(*in).Strands[4] = arch(2.0) }},
	{"tight-bend", Warn, 1, 1, pt(54, 5), 6, func(in *Input) { layer(*in).Strands[4] = arch(4.2) }},
	{"crossing", Stop, 1, 2, pt(25, 4.5), 0.1, func(in *Input) {
		s := row(0.4, 99.6, 5, 1)
		for i := range s.Points {
			s.Points[i].Y = 4 + 2*s.Points[i].X/100
		}
		layer(*in).Strands = append(layer(*in).Strands, s)
	}},
	{"outside-part", Stop, 1, 1, pt(50, 9.9), 50, func(in *Input) { layer(*in).Strands[9] = row(0.4, 99.6, 9.9, 1) }},
	{"narrow-spacing", Warn, 1, 1, pt(0, 4.5), 1, func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 4.5, 0.6) }},
	{"wide-spacing", Note, 1, 1, pt(0, 4.5), 1, func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 4.5, 2) }},
	{"tow-share", Stop, 1, 1, pt(0, 4.5), 1, func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 4.5, 0.55) }},
	{"end-in-load", Warn, 1, 2, pt(52, 4.5), 1, func(in *Input) {
		layer(*in).Strands[4] = row(0.4, 52, 4.5, 1)
		layer(*in).Strands = append(layer(*in).Strands, row(53, 99.6, 4.5, 1))
	}},
	{"stacked-ends", Note, 2, 1, pt(62, 4.5), 0.1, func(in *Input) {
		in.Print.Stagger = 5
		below, over := row(0.4, 60, 4.5, 1), row(0.4, 62, 4.5, 1)
		below.End, over.End = strand.AtLimit, strand.AtLimit
		layer(*in).Strands[4] = below
		top := &in.Print.Layers[2]
		top.Kind, top.Composite, top.Strands = strand.Composite, 1, []strand.Strand{over}
	}},
	{"cut-by-hole", Note, 1, 1, pt(99.6, 4.5), 0.1, func(in *Input) { layer(*in).Strands[4].EndLoop = 1 }},
	{"overlap", Warn, 1, 1, pt(50, 4.7), 50, func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 5.1, 1) }},
	{"gap", Warn, 1, 1, pt(50, 5), 50, func(in *Input) {
		layer(*in).Strands = slices.Delete(layer(*in).Strands, 3, 7)
	}},
	{"empty-layer", Warn, 1, 1, pt(50, 5), 1, func(in *Input) { layer(*in).Strands = nil }},
	{"dropped", Note, 1, 3, pt(7, 8), 0, func(in *Input) {
		layer(*in).Dropped, layer(*in).DroppedLength, layer(*in).DroppedAt = 3, 60, pt(7, 8)
	}},
	{"thickness", Stop, -1, 1, pt(50, 5), 1, func(in *Input) { in.Part.Thickness = 0.8 }},
	{"no-cover-below", Warn, 1, 1, pt(0, 0.5), 1, func(in *Input) { in.Print.Layers = in.Print.Layers[1:] }},
	{"no-cover-above", Warn, 1, 1, pt(0, 0.5), 1, func(in *Input) { in.Print.Layers, in.Part.Thickness = in.Print.Layers[:2], 0.52 }},
	{"not-plate-like", Stop, -1, 9, pt(50, 5), 1, func(in *Input) {
		for k := range 9 {
			z := 0.08 * float64(k)
			in.Part.Slabs = append(in.Part.Slabs, part.Slab{Bottom: z, Top: z + 0.08, Regions: []geom.Region{rectangle(100-float64(k), 10)}})
		}
	}},
	{"offset-plane", Warn, -1, 1, pt(50, 5), 0.1, func(in *Input) {
		in.Part.Slabs = []part.Slab{{Bottom: 0, Top: 0.2, Regions: []geom.Region{rectangle(100, 10)}}, {Bottom: 0.2, Top: 0.72, Regions: []geom.Region{rectangle(50, 10)}}}
	}},
	{"overhang", Stop, 1, 1, pt(75, 5), 1, func(in *Input) { in.Part.Slabs = shelf(50) }},
	{"bridge-too-long", Stop, 1, 1, pt(75, 9.5), 0.1, func(in *Input) {
		in.Part.Slabs, in.Card.Bridge = shelf(50), &printer.Bridge{Span: 40}
		layer(*in).Beads = []strand.Bead{{Kind: strand.Span, Width: 0.6, Points: []geom.Point{pt(40, 9.5), pt(100, 9.5)}}}
	}},
	{"support-contact", Stop, 0, 10, pt(51, 0), 0.1, func(in *Input) {
		in.Part.Slabs, in.Card.Support = shelf(50), &printer.Support{Pitch: 2.5, Gap: 0.2, Side: 0.6}
		in.Print.Layers[0].Beads = []strand.Bead{{Kind: strand.Support, Width: 0.6, Points: []geom.Point{pt(51, 0), pt(51, 10)}}}
	}},
	{"on-support", Warn, 1, 1, pt(75, 5), 1, func(in *Input) {
		in.Part.Slabs, in.Card.Support = shelf(50), &printer.Support{Pitch: 2.5, Gap: 0.2, Side: 0.6}
		in.Print.Layers[0].Beads = []strand.Bead{{Kind: strand.Support, Width: 0.6, Points: []geom.Point{pt(60, 5), pt(90, 5)}}}
	}},
	{"bridge", Note, 1, 1, pt(75, 5), 0.1, func(in *Input) {
		in.Part.Slabs, in.Card.Bridge = shelf(50), &printer.Bridge{Span: 60}
		layer(*in).Beads = []strand.Bead{{Kind: strand.Span, Width: 0.6, Points: []geom.Point{pt(40, 5), pt(100, 5)}}}
	}},
	{"thin-feature", Warn, -1, 1, pt(102.5, 5), 0.3, func(in *Input) {
		in.Card.WallWidth = 0.6
		in.Part.Region = geom.Region{Outer: geom.Polyline(pt(0, 0), pt(100, 0), pt(100, 4.9), pt(105, 4.9), pt(105, 5.1), pt(100, 5.1), pt(100, 10), pt(0, 10))}
	}},
	{"too-large", Stop, -1, 1, pt(50, 5), 1, func(in *Input) { in.Card.Bed.X = 99 }},
	{"off-bed", Stop, 1, 1500, pt(100, 5), 10, func(in *Input) { in.Placed, in.Place = true, pt(175.4, 0) }},
	{"too-hot", Stop, -1, 1, pt(0, 0), 0, func(in *Input) { in.PlasticTemperature = 301 }},
	{"bed-too-hot", Stop, -1, 1, pt(0, 0), 0, func(in *Input) { in.BedTemperature = 111 }},
}

// shelf is a plate of which the lowest layer goes only as far as x.
func shelf(x float64) []part.Slab {
	return []part.Slab{{Bottom: 0, Top: 0.2, Regions: []geom.Region{rectangle(x, 10)}}, {Bottom: 0.2, Top: 0.72, Regions: []geom.Region{rectangle(100, 10)}}}
}

func TestRulesFindWhatTheyAreFor(t *testing.T) {
	for _, row := range spoil {
		t.Run(row.id, func(t *testing.T) {
			in := sound()
			row.change(&in)
			all := Run(in)
			k := slices.IndexFunc(all, func(f Finding) bool { return f.ID == row.id })
			if k < 0 {
				t.Fatalf("not found; got %+v", all)
			}
			f := all[k]
			if f.Severity != row.severity || f.Layer != row.layer {
				t.Errorf("severity %v layer %d, want %v %d", f.Severity, f.Layer, row.severity, row.layer)
			}
			if row.id != "off-bed" && f.Count != row.count {
				t.Errorf("count %d, want %d", f.Count, row.count)
			}
			if d := pt(f.X, f.Y).Dist(row.near); d > row.within {
				t.Errorf("found at (%g, %g), %g mm from %v, want within %g", f.X, f.Y, d, row.near, row.within)
			}
			if f.What == "" || f.Remedy == "" || strings.Contains(f.What+f.Remedy, "%!") {
				t.Errorf("text not complete: %+v", f)
			}
		})
	}
}

func TestEveryRuleHasARow(t *testing.T) {
	for i, r := range rules() {
		if i >= len(spoil) || spoil[i].id != r.ID {
			t.Fatalf("rule %d is %s; the table of spoiled prints has no such row at its place", i, r.ID)
		}
	}
	if len(spoil) != len(rules()) {
		t.Errorf("%d rows for %d rules", len(spoil), len(rules()))
	}
}

// A rule must stay silent just inside of its limit.
func TestRulesSilentInsideTheirLimits(t *testing.T) {
	for _, c := range []struct {
		name, id string
		change   func(*Input)
	}{
		{"a rib as wide as a bead, and sharp corners", "thin-feature", func(in *Input) {
			in.Card.WallWidth = 0.6
			in.Part.Region = geom.Region{Outer: geom.Polyline(pt(0, 0), pt(100, 0), pt(100, 4.69), pt(105, 4.69), pt(105, 5.31), pt(100, 5.31), pt(109, 10), pt(0, 10))}
		}},
		{"strand just long enough", "short-strand", func(in *Input) { layer(*in).Strands[0] = row(0.4, 45.4, 0.5, 1) }},
		{"bend at the tow's limit", "tight-bend", func(in *Input) { layer(*in).Strands[4] = arch(5) }},
		{"bend at the tow's limit", "sharp-bend", func(in *Input) { layer(*in).Strands[4] = arch(5) }},
		{"strands that touch", "crossing", func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 3.5, 1) }},
		{"bead along the edge", "outside-part", func(in *Input) { layer(*in).Strands[9] = row(0.4, 99.6, 9.67, 1) }},
		{"bead of the least width", "narrow-spacing", func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 4.5, 0.65) }},
		{"bead just under the greatest width", "wide-spacing", func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 4.5, 1.99) }},
		{"tow at its ceiling", "tow-share", func(in *Input) { layer(*in).Strands[4] = row(0.4, 99.6, 4.5, 0.625) }},
		{"end beside the peak", "end-in-load", func(in *Input) { layer(*in).Strands[4] = row(0.4, 49, 4.5, 1) }},
		{"strands pressed together within a bead", "overlap", func(in *Input) {
			in.Print.Composite, in.Print.Region, in.Part.Region = rectangle(100, 9.75), rectangle(100, 9.75), rectangle(100, 9.75)
			layer(*in).Strands[9] = row(0.4, 99.6, 9.3, 1)
		}},
		{"stack as thick as the part", "thickness", func(in *Input) { in.Part.Thickness = 0.725 }},
		{"part as long as the bed", "too-large", func(in *Input) { in.Card.Bed.X = 100 }},
		{"part at the bed's corner", "off-bed", func(in *Input) { in.Placed = true }},
		{"nozzle at its limit", "too-hot", func(in *Input) { in.PlasticTemperature = 300 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := sound()
			c.change(&in)
			for _, f := range Run(in) {
				if f.ID == c.id {
					t.Errorf("found %+v", f)
				}
			}
		})
	}
}

func TestTowShareWarnsWherePlacesAreFew(t *testing.T) {
	in := sound()
	layer(in).Strands[4].Width[30] = 0.4
	for _, f := range Run(in) {
		if f.ID == "tow-share" && f.Severity == Warn {
			return
		}
	}
	t.Errorf("got %+v, want a warning of tow-share", Run(in))
}

func TestOffersToTurnThePart(t *testing.T) {
	in := sound()
	in.Card.Bed = printer.Bed{X: 50, Y: 120, Z: 100}
	for _, f := range Run(in) {
		if f.ID == "too-large" && strings.Contains(f.Remedy, "90°") {
			return
		}
	}
	t.Errorf("got %+v, want the remedy to turn it", Run(in))
}

func TestFindingsGravestFirst(t *testing.T) {
	in := sound()
	for _, row := range spoil[:9] {
		row.change(&in)
	}
	got := Run(in)
	if !slices.IsSortedFunc(got, func(a, b Finding) int { return int(b.Severity) - int(a.Severity) }) {
		t.Errorf("not by severity: %+v", got)
	}
}

// A layer in which no strand is wanted is no empty one.
func TestPlainLayerIsNotEmpty(t *testing.T) {
	in := sound()
	l := layer(in)
	l.Strands, l.Plain = nil, true
	for _, f := range Run(in) {
		if f.ID == "empty-layer" {
			t.Errorf("got %+v", f)
		}
	}
}

func TestRunOfNothing(t *testing.T) {
	if got := Run(Input{}); len(got) != 0 {
		t.Errorf("got %+v", got)
	}
}

func TestRunTwiceIsTheSame(t *testing.T) {
	in := sound()
	for _, row := range spoil {
		if row.id != "empty-layer" && row.id != "no-cover-below" && row.id != "gap" {
			row.change(&in)
		}
	}
	if a, b := fmt.Sprint(Run(in)), fmt.Sprint(Run(in)); a != b {
		t.Errorf("%s\n%s", a, b)
	}
}

const findingsDoc = "../docs/method/findings.md"

// The manual's table is made from the rules.
func TestManualListsTheRules(t *testing.T) {
	data, err := os.ReadFile(findingsDoc)
	if err != nil {
		t.Fatal(err)
	}
	const from, to = "<!-- rules -->\n", "<!-- end of rules -->"
	head, rest, ok := strings.Cut(string(data), from)
	_, tail, ok2 := strings.Cut(rest, to)
	if !ok || !ok2 {
		t.Fatalf("%s lacks the marks %q and %q", findingsDoc, from, to)
	}
	var b strings.Builder
	b.WriteString("| rule | severity | what is looked for | remedy |\n|---|---|---|---|\n")
	for _, r := range rules() {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", r.ID, r.Severity, r.Text, r.Remedy)
	}
	want := head + from + b.String() + to + tail
	if *update {
		if err := os.WriteFile(findingsDoc, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if string(data) != want {
		t.Errorf("%s does not list the rules as they are; run go test ./check -update", findingsDoc)
	}
}

func ExampleRun() {
	in := sound()
	in.Part.Thickness = 0.8
	for _, f := range Run(in) {
		fmt.Printf("%s %s: %s; %s\n", f.Severity, f.ID, f.What, f.Remedy)
	}
	// Output:
	// stop thickness: the stack is 0.72 mm thick, the part 0.8 mm; change the thickness, the number of layers or the covers
}
