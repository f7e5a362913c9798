package part

import (
	"errors"
	"math"
	"strings"
	"testing"

	"sinew/geom"
)

// plate is 100 × 40 mm, its left side on layer LEFT, with two 8 mm holes, a
// 16 mm hole and a square one.
func plate() geom.Region {
	outer := geom.Polyline(geom.Point{}, geom.Point{X: 100}, geom.Point{X: 100, Y: 40}, geom.Point{Y: 40})
	outer[3].Label = "LEFT"
	square := geom.Polyline(geom.Point{X: 68, Y: 18}, geom.Point{X: 72, Y: 18}, geom.Point{X: 72, Y: 22}, geom.Point{X: 68, Y: 22})
	return geom.Region{Outer: outer, Holes: []geom.Loop{
		geom.Circle(geom.Point{X: 10, Y: 20}, 4).Reverse(),
		geom.Circle(geom.Point{X: 45, Y: 20}, 8).Reverse(),
		square.Reverse(),
		geom.Circle(geom.Point{X: 90, Y: 20}, 4).Reverse(),
	}}
}

func at(x, y float64) *geom.Point { return &geom.Point{X: x, Y: y} }

func TestFeatures(t *testing.T) {
	for name, c := range map[string]struct {
		pick Pick
		loop int
		size float64 // diameter
		n    int     // edges
	}{
		"by diameter":      {Pick{Kind: Hole, Diameter: 16}, 2, 16, 2},
		"by rough size":    {Pick{Kind: Hole, Diameter: 16.04}, 2, 16, 2},
		"by place":         {Pick{Kind: Hole, Near: at(11, 19)}, 1, 8, 2},
		"nearest":          {Pick{Kind: Hole, Near: at(99, 20)}, 4, 8, 2},
		"size and place":   {Pick{Kind: Hole, Near: at(45, 20), Diameter: 8}, 1, 8, 2},
		"not round":        {Pick{Kind: Hole, Near: at(70, 20)}, 3, 0, 4},
		"side by point":    {Pick{Kind: Side, Near: at(50, 39)}, 0, 0, 1},
		"side by layer":    {Pick{Kind: Side, Layer: "LEFT"}, 0, 0, 1},
		"side by face":     {Pick{Kind: Side, Face: "LEFT"}, 0, 0, 1},
		"right end":        {Pick{Kind: Side, End: "right"}, 0, 0, 1},
		"edge of a cutout": {Pick{Kind: Side, Near: at(70, 18.1)}, 3, 0, 1},
	} {
		c.pick.Name = "it"
		list, errs := Features(plate(), []Pick{c.pick})
		if errs != nil {
			t.Errorf("%s: %v", name, errs)
			continue
		}
		if f := list[0]; f.Name != "it" || f.Loop != c.loop || math.Abs(f.Diameter-c.size) > 1e-9 || len(f.Edges) != c.n {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

func TestAmbiguousPicks(t *testing.T) {
	two := plate()
	two.Holes[2][0].Label = "LEFT"
	for name, c := range map[string]struct {
		r    geom.Region
		pick Pick
		want string
	}{
		"two of a size":      {plate(), Pick{Kind: Hole, Diameter: 8}, "2 holes fit (8 mm at (10, 20), 8 mm at (90, 20))"},
		"between two":        {plate(), Pick{Kind: Hole, Diameter: 8, Near: at(50, 20)}, "2 holes fit"},
		"no such size":       {plate(), Pick{Kind: Hole, Diameter: 5}, "no hole fits; the part has 8 mm at (10, 20), 16 mm at (45, 20), not round at (70, 20)"},
		"no holes":           {geom.Region{Outer: plate().Outer}, Pick{Kind: Hole, Near: at(0, 0)}, "the part has no holes"},
		"a corner":           {plate(), Pick{Kind: Side, Near: at(-1, -1)}, "2 edges are equally near ((0, 0) to (100, 0), (0, 40) to (0, 0))"},
		"no such face":       {plate(), Pick{Kind: Side, Face: "flat-9"}, `no edge lies on face "flat-9"; the outline has`},
		"no such layer":      {plate(), Pick{Kind: Side, Layer: "RIGHT"}, `no edge lies on drawing layer "RIGHT"; the outline has`},
		"on two loops":       {two, Pick{Kind: Side, Layer: "LEFT"}, `2 loops have edges on drawing layer "LEFT"`},
		"two runs":           {plate(), Pick{Kind: Side, Layer: ""}, "exactly one way"},
		"no such end":        {plate(), Pick{Kind: Side, End: "up"}, "write left, right, top or bottom"},
		"no straight":        {geom.Region{Outer: geom.Circle(geom.Point{}, 5)}, Pick{Kind: Side, End: "top"}, "no straight edge at its top end"},
		"point is no number": {plate(), Pick{Kind: Hole, Near: at(math.NaN(), 0)}, "holes fit"},
	} {
		_, errs := Features(c.r, []Pick{c.pick})
		if len(errs) != 1 || errs[0] == nil || !strings.Contains(errs[0].Error(), c.want) {
			t.Errorf("%s: %v; want %q", name, errs, c.want)
		}
	}
}

func TestUnnamedHolesGetNames(t *testing.T) {
	list, errs := Features(plate(), []Pick{{Name: "big", Kind: Hole, Diameter: 16}})
	if errs != nil {
		t.Fatal(errs)
	}
	var names []string
	for _, f := range list {
		names = append(names, f.Name)
	}
	if got := strings.Join(names, " "); got != "big hole-1 hole-3 hole-4" {
		t.Error(got)
	}
}

// good is a part without faults.
func good(t *testing.T) *Part {
	t.Helper()
	list, errs := Features(plate(), []Pick{{Name: "left", Kind: Side, End: "left"}, {Name: "right", Kind: Side, End: "right"}, {Name: "pin", Kind: Hole, Near: at(10, 20)}})
	if errs != nil {
		t.Fatal(errs)
	}
	return &Part{
		Name: "plate", Region: plate(), Thickness: 4, Features: list,
		Supports: []Support{{Feature: 0}},
		Cases:    []Case{{Name: "pull", Factor: 1, Loads: []Load{{Feature: 2, Kind: Bearing, Force: geom.Point{X: 100}}}}},
		Probes:   []Probe{{Name: "gauge", Feature: -1, At: geom.Point{X: 30, Y: 5}}},
	}
}

func TestValidate(t *testing.T) {
	if err := good(t).Validate(); err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	load := func(p *Part) *Load { return &p.Cases[0].Loads[0] }
	for name, c := range map[string]struct {
		spoil func(p *Part)
		want  string
	}{
		"no thickness":         {func(p *Part) { p.Thickness = 0 }, "thickness: is 0 mm"},
		"thickness NaN":        {func(p *Part) { p.Thickness = nan }, "thickness: is NaN mm"},
		"no outline":           {func(p *Part) { p.Region = geom.Region{} }, "outline"},
		"hole outside":         {func(p *Part) { p.Region.Holes[0] = geom.Circle(geom.Point{X: -50}, 4).Reverse() }, "outline"},
		"hole at the edge":     {func(p *Part) { p.Region.Holes[0] = geom.Circle(geom.Point{X: 4, Y: 20}, 4).Reverse() }, "outline"},
		"same name":            {func(p *Part) { p.Features[1].Name = "left" }, "there twice"},
		"loop not there":       {func(p *Part) { p.Features[1].Loop = 9 }, "lies on loop 9 of 5"},
		"edge not there":       {func(p *Part) { p.Features[1].Edges = []int{9} }, "holds edge 9 of 4"},
		"no edges":             {func(p *Part) { p.Features[1].Edges = nil }, "has no edges"},
		"held nowhere":         {func(p *Part) { p.Supports = nil }, "held nowhere"},
		"support on nothing":   {func(p *Part) { p.Supports[0].Feature = 77 }, "support 1: acts on feature 77"},
		"held twice":           {func(p *Part) { p.Supports = append(p.Supports, Support{Feature: 0, Kind: Pinned}) }, `"left" is held twice`},
		"support angle":        {func(p *Part) { p.Supports[0].Angle = nan }, "its angle is NaN"},
		"no case":              {func(p *Part) { p.Cases = nil }, "no load case"},
		"nothing acts":         {func(p *Part) { p.Cases[0].Loads = nil }, "nothing acts"},
		"factor zero":          {func(p *Part) { p.Cases[0].Factor = 0 }, `case "pull": its factor is 0`},
		"factor below zero":    {func(p *Part) { p.Cases[0].Factor = -1 }, "its factor is -1"},
		"temperature NaN":      {func(p *Part) { p.Cases[0].Heat.Change = nan }, "no number"},
		"load on nothing":      {func(p *Part) { load(p).Feature = -1 }, `case "pull", load 1: acts on feature -1`},
		"no force":             {func(p *Part) { load(p).Force = geom.Point{} }, "its force is zero"},
		"force NaN":            {func(p *Part) { load(p).Force.X = nan }, "its force is (NaN, 0)"},
		"bearing on a side":    {func(p *Part) { load(p).Feature = 1 }, `"right" is not a round hole`},
		"bearing on a square":  {func(p *Part) { load(p).Feature = 4 }, "is not a round hole"},
		"load on what is held": {func(p *Part) { *load(p) = Load{Feature: 0, Kind: Even, Force: geom.Point{X: 1}} }, `"left" is held`},
		"grip on a support": {func(p *Part) {
			p.Supports[0] = Support{Feature: 0, Kind: Sliding}
			*load(p) = Load{Feature: 0, Kind: Grip, Force: geom.Point{X: 1}}
		}, `"left" is held`},
		"unknown load kind":    {func(p *Part) { load(p).Kind = 12 }, "unknown kind 12"},
		"unknown support kind": {func(p *Part) { p.Supports[0].Kind = 12 }, "unknown kind 12"},
		"probe outside":        {func(p *Part) { p.Probes[0].At.X = 500 }, `probe "gauge": (500, 5) lies outside`},
		"probe in a hole":      {func(p *Part) { p.Probes[0].At = geom.Point{X: 45, Y: 20} }, "lies outside"},
		"probe on nothing":     {func(p *Part) { p.Probes[0].Feature = 77 }, "feature 77"},
		"probe angle":          {func(p *Part) { p.Probes[0].Angle = nan }, "its angle is NaN"},
	} {
		p := good(t)
		c.spoil(p)
		err := p.Validate()
		var fs Faults
		if !errors.As(err, &fs) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", name, err, c.want)
		}
	}
}
