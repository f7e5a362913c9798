package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/near"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// widePlate is a plate forty radii wide with a round hole, pulled
// along x by an even stress.
func widePlate(radius, stress float64) *part.Part {
	w := 20 * radius
	return &part.Part{
		Region: geom.Region{
			Outer: geom.Polyline(geom.Point{X: -w, Y: -w}, geom.Point{X: w, Y: -w}, geom.Point{X: w, Y: w}, geom.Point{X: -w, Y: w}),
			Holes: []geom.Loop{geom.Circle(geom.Point{}, radius).Reverse()},
		},
		Thickness: 1,
		Features: []part.Feature{
			{Name: "hole", Kind: part.Hole, Loop: 1, Diameter: 2 * radius},
			{Name: "left", Kind: part.Side, Edges: []int{3}},
			{Name: "right", Kind: part.Side, Edges: []int{1}},
			{Name: "bottom", Kind: part.Side, Edges: []int{0}},
		},
		Supports: []part.Support{{Feature: 1, Kind: part.Sliding}, {Feature: 3, Kind: part.Sliding, Angle: math.Pi / 2}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 2, Kind: part.Traction, Force: geom.Point{X: stress}}}}},
	}
}

// kirsch returns von Mises' stress on the ligament of a hole of radius 1 in a
// wide plate pulled by 1, at r from the centre: Kirsch (1898), in Timoshenko &
// Goodier, Theory of Elasticity, 3rd ed. 1970, eq. 61.
func kirsch(r float64) float64 {
	q := 1 / (r * r)
	hoop, radial := 1+q/2+1.5*q*q, 1.5*q-1.5*q*q
	return material.Mises([3]float64{hoop, radial, 0})
}

// TestEdgeRules judges a metal plate with a hole by the two stress criteria of
// Whitney & Nuismer and holds them against the closed form, for two holes: the
// greater weakens the plate more, though the peak is the same.
func TestEdgeRules(t *testing.T) {
	n := material.Notch{Point: 1, Average: 4}
	law := statedLaw(t)
	for _, radius := range []float64{3, 10} {
		p := widePlate(radius, 100)
		m, err := mesh.Generate(p.Region, mesh.Settings{Size: 2 * radius, ArcSize: 0.07, Growth: 0.15})
		if err != nil {
			t.Fatal(err)
		}
		metal := material.Metal{ID: "m", Title: "metal", E: 70e3, Nu: 0.33, Yield: 250, Ultimate: 290, Density: 2.7e-3}
		mean, steps := 0.0, 2000
		for k := range steps {
			mean += kirsch(1+n.Average*(float64(k)+0.5)/float64(steps)/radius) / float64(steps)
		}
		for _, row := range []struct {
			rule Rule
			kt   float64
			tol  float64
		}{
			{PointStress, kirsch(1 + n.Point/radius), 0.01},
			{AverageStress, mean, 0.01},
		} {
			r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Law: law, Metals: []material.Metal{metal}, Settings: Settings{Rule: row.rule, Notch: n}})
			if err != nil {
				t.Fatal(err)
			}
			c := &r.Designs[0].Cases[0]
			got := c.Of(Yield)
			t.Logf("radius %g, %s: %.4f, closed form %.4f at (%.2f, %.2f)", radius, row.rule, 2.5/got.Reserve, row.kt, got.X, got.Y)
			if !near.Equal(2.5/got.Reserve, row.kt, 0, row.tol) {
				t.Errorf("radius %g, %s: stress concentration %.4f, closed form %.4f", radius, row.rule, 2.5/got.Reserve, row.kt)
			}
			if math.Abs(got.X) > 0.2*radius || math.Abs(got.Y) > radius+n.Point+1e-6 {
				t.Errorf("radius %g, %s: judged at (%g, %g), not on the ligament beside the hole", radius, row.rule, got.X, got.Y)
			}
			for _, by := range c.ByRule {
				if by.Rule == row.rule && by.Of(Yield).Reserve != got.Reserve {
					t.Errorf("%s: margins %g, by rule %g", row.rule, got.Reserve, by.Of(Yield).Reserve)
				}
			}
		}
	}
}

// TestRulesAlikeForAll: every design of a proof is judged by the same rules, and
// a criterion other than the default changes the matrix alone.
func TestRulesAlikeForAll(t *testing.T) {
	disc, line := proveStrip(t, Settings{Mask: 10}), proveStrip(t, Settings{Mask: 10, Rule: AverageStress})
	puck := material.Puck
	other := proveStrip(t, Settings{Mask: 10, Criterion: &puck})
	for i := range disc.Designs {
		a, b, c := &disc.Designs[i].Cases[0], &line.Designs[i].Cases[0], &other.Designs[i].Cases[0]
		if len(a.ByRule) != len(Rules()) {
			t.Fatalf("%s: %d rules", disc.Designs[i].Name, len(a.ByRule))
		}
		for k := range a.ByRule {
			for _, m := range a.ByRule[k].Margins {
				if got := b.ByRule[k].Of(m.Mode); got == nil || *got != m {
					t.Errorf("%s by %s: %v depends on the rule chosen", disc.Designs[i].Name, a.ByRule[k].Rule, m.Mode)
				}
				if got := c.ByRule[k].Of(m.Mode); m.Mode != Matrix && *got != m {
					t.Errorf("%s by %s: %v depends on the criterion of the matrix", disc.Designs[i].Name, a.ByRule[k].Rule, m.Mode)
				}
			}
		}
		if m := a.Of(Matrix); m != nil && c.Of(Matrix).Reserve == m.Reserve {
			t.Errorf("%s: the criterion changes nothing", disc.Designs[i].Name)
		}
	}
}
