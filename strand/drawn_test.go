package strand

import (
	"math"
	"testing"

	"sinew/field"
	"sinew/geom"
)

// drawnLayup has one drawn family in one layer.
func drawnLayup(r geom.Region, l *field.Layup, smooth bool, paths ...geom.Path) *field.Layup {
	f := field.Family{Name: "own", Kind: field.Drawn, Mesh: l.Families[0].Mesh, Phase: make([]float64, len(l.Families[0].Phase)), Paths: paths, Spacing: 1, Smooth: smooth}
	return &field.Layup{Region: r, Families: []field.Family{f}, Layers: []field.Layer{{}}}
}

func TestDrawnStrandsLieAsDrawn(t *testing.T) {
	r, m := plate(100, 40, 4)
	base := layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y })
	straight := geom.Path{Points: []geom.Point{{X: 1, Y: 23}, {X: 98.5, Y: 23}}} // ends 1 and 1.5 mm short of the edges
	ring := geom.Path{Points: geom.Circle(geom.Point{X: 50, Y: 12}, 8).Flatten(0.001), Closed: true}
	corner := geom.Path{Points: []geom.Point{{X: 20, Y: 38}, {X: 80, Y: 38}, {X: 80, Y: 1}}}
	short := geom.Path{Points: []geom.Point{{X: 30, Y: 30}, {X: 50, Y: 30}}}
	beyond := geom.Path{Points: []geom.Point{{X: -30, Y: 1.8}, {X: 130, Y: 1.8}}}
	half := card().SpacingMin / 2

	pr := lay(t, drawnLayup(r, base, false, straight, ring, short, beyond), Settings{Bare: true})
	byLevel := map[float64]*Strand{}
	for i := range pr.Layers[0].Strands {
		s := &pr.Layers[0].Strands[i]
		byLevel[s.Level] = s
	}
	if len(byLevel) != 4 || len(pr.Layers[0].Strands) != 4 {
		t.Fatalf("%d strands, want one a path", len(pr.Layers[0].Strands))
	}
	// Snapped to the edge: both ends keep half a bead from it.
	if n := byLevel[0].Length(); math.Abs(n-(100-2*half)) > 0.01 {
		t.Errorf("the straight path is %g mm long", n)
	}
	if s := byLevel[1]; !s.Closed || math.Abs(s.Length()-s.Overlap-2*math.Pi*8) > 0.1 {
		t.Errorf("the ring is %g mm long with %g mm of overlap", s.Length(), s.Overlap)
	}
	if n := byLevel[2].Length(); math.Abs(n-20) > 1e-9 {
		t.Errorf("the short path is %g mm long; it is laid as drawn and found too short", n)
	}
	if n := byLevel[3].Length(); math.Abs(n-(100-2*half)) > 0.01 {
		t.Errorf("the path beyond the part is %g mm long", n)
	}

	sharp := lay(t, drawnLayup(r, base, false, corner), Settings{Bare: true}).Layers[0].Strands[0]
	round := lay(t, drawnLayup(r, base, true, corner), Settings{Bare: true}).Layers[0].Strands[0]
	if a, b := tightest(sharp.Radii()), tightest(round.Radii()); a > 1.5 || b < card().TowRadius*0.95 {
		t.Errorf("least radius as drawn %g mm, smoothed %g mm", a, b)
	}
}

func TestLockedStrandsAreFlownAround(t *testing.T) {
	r, m := plate(120, 40, 4)
	for _, c := range []struct {
		name  string
		path  []geom.Point
		whole bool // whether the others run on
	}{
		{"along the others", []geom.Point{{X: 0, Y: 20.3}, {X: 120, Y: 20.3}}, true},
		{"slightly across", []geom.Point{{X: 0, Y: 18}, {X: 120, Y: 22}}, false},
		{"inside", []geom.Point{{X: 30, Y: 20.4}, {X: 90, Y: 20.4}}, true},
		{"right across", []geom.Point{{X: 61, Y: 0}, {X: 61, Y: 40}}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y })
			own := drawnLayup(r, l, false, geom.Path{Points: c.path}).Families[0]
			l.Families = append(l.Families, own)
			l.Locked = []field.Lock{{Drawn: 1, Into: 0}}
			pr := lay(t, l, Settings{Bare: true})
			strands := pr.Layers[0].Strands
			if x := Crossings(strands); len(x) > 0 {
				t.Fatalf("%d crossings, the first at %v", len(x), x[0].At)
			}
			locked, ended := 0, 0
			var at []geom.Point
			for i := range strands {
				if s := &strands[i]; s.Family == 1 {
					locked++
					at = geom.Path{Points: s.Points}.Resample(0.05).Points
				}
			}
			grid := geom.NewGrid(at)
			for i := range strands {
				s := &strands[i]
				if s.Family == 1 {
					continue
				}
				if s.Start == AtLocked || s.End == AtLocked {
					ended++
				}
				for _, p := range s.Points {
					if _, d := grid.Nearest(p); d < card().SpacingMin*0.9 {
						t.Fatalf("strand at %v lies %g mm from the locked one", p, d)
					}
				}
			}
			// Where it takes the place of one of the 40 rows, that one is left out.
			if n := len(strands) - locked; c.name == "along the others" && n != 39 {
				t.Errorf("%d strands beside the locked one", n)
			}
			if locked != 1 || (ended == 0) != c.whole {
				t.Errorf("%d locked strands, %d strands end at it", locked, ended)
			}
		})
	}
}
