package proof

import (
	"context"
	"reflect"
	"slices"
	"testing"

	"sinew/geom"
	"sinew/part"
)

// TestBeforeChangesNothing examines a print with and without an earlier
// examination to take from, after edits that touch some or all of it.
func TestBeforeChangesNothing(t *testing.T) {
	law := statedLaw(t)
	two := func() *part.Part {
		p := strip()
		p.Features = slices.Clone(p.Features)
		p.Cases = append(p.Cases, part.Case{Name: "across", Factor: 1, Loads: []part.Load{{Feature: 0, Kind: part.Bearing, Force: geom.Point{Y: 300}}}})
		return p
	}
	p := two()
	at := Input{Part: p, Mesh: stripMesh(t, p, 2), Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1)}
	before, err := Examine(context.Background(), at, designPrinted)
	if err != nil {
		t.Fatal(err)
	}
	rows := []struct {
		name       string
		edit       func(in *Input)
		maps, kept bool // taken: the print's maps, the case that stayed as it was
	}{
		{"nothing", func(in *Input) {}, true, true},
		{"one load", func(in *Input) { in.Part.Cases[0].Loads[0].Force.X = 700 }, true, true},
		{"the order of cases", func(in *Input) { slices.Reverse(in.Part.Cases) }, true, true},
		{"where it is held", func(in *Input) {
			in.Part.Supports = append(slices.Clone(in.Part.Supports), part.Support{Feature: 2, Kind: part.Sliding})
			in.Part.Cases[0].Loads = []part.Load{{Feature: 0, Kind: part.Bearing, Force: geom.Point{X: 500}}}
		}, true, false},
		{"what is gripped", func(in *Input) {
			in.Part.Cases[0].Loads = []part.Load{{Feature: 0, Kind: part.Bearing, Force: geom.Point{X: 500}}}
		}, false, false},
		{"the radius", func(in *Input) { in.Settings.Radius = 2 }, true, false},
		{"the mask", func(in *Input) { in.Settings.Mask = 5 }, true, false},
		{"the rule", func(in *Input) { in.Settings.Rule = PointStress }, true, false},
		{"the transfer", func(in *Input) { in.Settings.Transfer = 3 }, false, false},
		{"the print", func(in *Input) { in.Print = straightStrands(in.Part, 1.2) }, false, false},
		{"the numbers of features", func(in *Input) {
			in.Part.Features[1], in.Part.Features[2] = in.Part.Features[2], in.Part.Features[1]
			in.Part.Supports = []part.Support{{Feature: 2, Kind: part.Fixed}}
			in.Part.Cases[0].Loads = []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}
		}, true, false},
		{"bending asked for", func(in *Input) { in.Plate.Bending = true }, true, false},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			in := at
			in.Part = two()
			r.edit(&in)
			alone, err := Examine(context.Background(), in, designPrinted)
			if err != nil {
				t.Fatal(err)
			}
			in.Before = before
			with, err := Examine(context.Background(), in, designPrinted)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(alone.Design, with.Design) {
				t.Errorf("alone %+v\nwith %+v", alone.Design, with.Design)
			}
			if got := &with.maps[0] == &before.maps[0]; got != r.maps {
				t.Errorf("maps taken: %v, want %v", got, r.maps)
			}
			kept := slices.ContainsFunc(with.cases, func(c judgedCase) bool {
				return slices.ContainsFunc(before.cases, func(old judgedCase) bool { return &c.margins[0] == &old.margins[0] })
			})
			if kept != r.kept {
				t.Errorf("a case taken: %v, want %v", kept, r.kept)
			}
		})
	}
}
