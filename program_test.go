package sinew_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"sinew/field"
	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/internal/stock"
	"sinew/mesh"
	"sinew/part"
	"sinew/printer"
	"sinew/program"
	"sinew/strand"
	"sinew/stress"
)

// drilled is a plate with up to six holes that keep off each other and the
// edge, thin or thick.
func drilled(r *rand.Rand) *part.Part {
	w, h := 70+60*r.Float64(), 34+36*r.Float64()
	p := &part.Part{
		Name: "plate", Region: shapes.Plate(w, h),
		Features: []part.Feature{{Name: "left", Kind: part.Side, Loop: 0, Edges: []int{3}}, {Name: "right", Kind: part.Side, Loop: 0, Edges: []int{1}}},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}}},
	}
	type hole struct {
		at geom.Point
		r  float64
	}
	var holes []hole
	for want, tries := r.Intn(7), 0; len(holes) < want && tries < 60; tries++ {
		n := hole{geom.Point{X: 12 + (w-24)*r.Float64(), Y: 12 + (h-24)*r.Float64()}, 2 + 3*r.Float64()}
		free := true
		for _, o := range holes {
			free = free && o.at.Dist(n.at) > o.r+n.r+9
		}
		if free {
			holes = append(holes, n)
			p.Region.Holes = append(p.Region.Holes, geom.Circle(n.at, n.r).Reverse())
			p.Features = append(p.Features, part.Feature{Name: fmt.Sprint("hole ", len(holes)), Kind: part.Hole, Loop: len(holes), Center: n.at, Diameter: 2 * n.r})
		}
	}
	return p
}

// printed plans a part as the engine does: walls, field on the area within
// them, strands, plain plastic.
func printed(t *testing.T, w workshop, p *part.Part, c *printer.Card, r *rand.Rand) *strand.Print {
	t.Helper()
	ctx := context.Background()
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 5, ArcSize: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	layers := 1 + r.Intn(4)
	walls := 1 + r.Intn(2)
	patterns := strand.Patterns()
	set := strand.Settings{
		Region: p.Region, Walls: walls, Bottom: 1 + r.Intn(4), Top: 1 + r.Intn(4),
		Fill: strand.Fill{Pattern: patterns[r.Intn(len(patterns))], Share: 0.2 + 0.4*r.Float64()}, Grip: strand.Grip{Border: r.Intn(3), Ring: 4 * float64(r.Intn(2))},
	}
	p.Thickness = float64(layers)*c.CompositeHeight + float64(set.Bottom+set.Top)*c.PlasticHeight
	sys, err := stress.NewSystem(m, p, stress.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	inner, err := p.Region.Inset(float64(walls)*c.WallWidth + c.BeadToWall)
	if err != nil || len(inner) != 1 {
		t.Fatalf("inset: %d regions, %v", len(inner), err)
	}
	in := field.Input{Part: p, System: sys, Region: inner[0], Stack: field.Stack{Law: w.law, Plastic: w.plastic.Reduced(), PlasticDensity: 1.15e-3}}
	if in.Mesh, err = mesh.Generate(inner[0], mesh.Settings{Size: 5, ArcSize: 1.5}); err != nil {
		t.Fatal(err)
	}
	spacing := math.Max(c.SpacingMin, 0.8+0.5*r.Float64())
	request := field.Request{Kind: field.Straight, Angle: math.Pi * r.Float64(), Layers: layers, Spacing: spacing}
	switch {
	case len(p.Region.Holes) > 0 && r.Intn(3) == 0:
		request = field.Request{Kind: field.Loop, Around: []int{2}, Turns: 4, Layers: layers, Spacing: spacing}
	case r.Intn(3) == 0:
		request = field.Request{Kind: field.Rim, Turns: 3, Layers: layers, Spacing: spacing}
	}
	layup, err := field.Plan(ctx, in, field.Settings{Families: []field.Request{request}})
	if err != nil {
		t.Fatal(err)
	}
	pr, err := strand.Lay(ctx, layup, c, set)
	if err != nil {
		t.Fatal(err)
	}
	return pr
}

// Thirty parts from outline to text and back, for both kinds of process: each
// strand's length to 0.01 mm, plastic to 0.1 %, every cut, nothing off the bed,
// no strand shorter than the cutter allows, no plastic from the composite
// nozzle without tow.
func TestProgramsOfVariedPartsReadBack(t *testing.T) {
	w := newWorkshop(t)
	strands, holes := 0, 0
	worst := [2]float64{}
	for seed := range int64(30) {
		r := rand.New(rand.NewSource(100 + seed))
		c := stock.Read(t, stock.Text([]string{"printer/twin-nozzle", "printer/ironing-nozzle"}[seed%2]), printer.FromCard)
		p := drilled(r)
		pr := printed(t, w, p, c, r)
		holes += len(p.Region.Holes)
		set := program.Settings{TowArea: 0.103, PlasticTemperature: 260, BedTemperature: 80, PlasticDensity: 1.14e-3}
		var text bytes.Buffer
		sum, err := program.Write(&text, pr, c, set)
		if err != nil {
			t.Fatalf("part %d: %v", seed, err)
		}
		back, err := program.Read(bytes.NewReader(text.Bytes()), c)
		if err != nil {
			t.Fatalf("part %d: %v", seed, err)
		}
		for _, f := range back.Findings {
			t.Errorf("part %d on %s: %v", seed, c.ID, f)
		}
		cmp := program.Compare(pr, back, c, set)
		for _, d := range cmp.Differences {
			t.Errorf("part %d on %s: %s", seed, c.ID, d)
		}
		if cmp.WorstLength > 0.01 || cmp.VolumeDifference > 1e-3 || back.Cuts != sum.Strands || cmp.Strands != pr.Stats().Count {
			t.Errorf("part %d: %+v, %d cuts of %d strands", seed, cmp, back.Cuts, sum.Strands)
		}
		worst[0], worst[1] = math.Max(worst[0], cmp.WorstLength), math.Max(worst[1], cmp.VolumeDifference)
		strands += cmp.Strands
	}
	t.Logf("%d strands in 30 parts with %d holes: worst length %.5f mm, worst volume %.2g", strands, holes, worst[0], worst[1])
	if strands < 500 || holes < 40 {
		t.Errorf("%d strands, %d holes: the parts show little", strands, holes)
	}
}
