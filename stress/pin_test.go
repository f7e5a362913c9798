package stress

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/mesh"
	"sinew/part"
)

// A rigid half pin and a bolt must hold the hole in shape, pass on their force,
// and do it less stiffly than gripping the whole hole without a turn.
func TestHalfPinAndBolt(t *testing.T) {
	r := shapes.Strip(60, 20, 6)
	m, err := mesh.Generate(r, mesh.Settings{Size: 4, ArcSize: 0.3})
	if err != nil {
		t.Fatal(err)
	}
	features, errs := part.Features(r, []part.Pick{{Name: "hole", Kind: part.Hole, Diameter: 6}, {Name: "left", Kind: part.Side, End: "left"}})
	if errs != nil {
		t.Fatal(errs)
	}
	force := geom.Point{X: 240, Y: 50}
	load := func(kind part.LoadKind) part.Case {
		return part.Case{Name: "pull", Factor: 2, Loads: []part.Load{{Feature: 0, Kind: kind, Force: force}}}
	}
	p := &part.Part{Region: r, Thickness: 2, Features: features, Supports: []part.Support{{Feature: 1}},
		Cases: []part.Case{load(part.HalfPin), load(part.Bolt), load(part.Bearing)}}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	sol := solve(t, s, Isotropic(3000, 0.3, 2))
	center := features[0].Center
	bolt, pin := sol.Cases[1].U, sol.Cases[0].U
	nodes := s.FeatureNodes(0)
	for _, n := range nodes {
		for _, k := range nodes {
			arm := m.Nodes[n].Sub(m.Nodes[k])
			stretch := arm.Dot(geom.Point{X: bolt[2*n] - bolt[2*k], Y: bolt[2*n+1] - bolt[2*k+1]})
			if math.Abs(stretch) > 1e-9 {
				t.Fatalf("the bolted hole is stretched by %g", stretch)
			}
		}
	}
	e, travel := force.Scale(1/force.Norm()), math.NaN()
	for _, n := range nodes {
		a := m.Nodes[n].Sub(center)
		a = a.Scale(1 / a.Norm())
		if a.Dot(e) < 0.05 {
			continue
		}
		radial := a.Dot(geom.Point{X: pin[2*n], Y: pin[2*n+1]}) / a.Dot(e)
		if math.IsNaN(travel) {
			travel = radial
		}
		if math.Abs(radial-travel) > 1e-9*math.Abs(travel) {
			t.Fatalf("the pin travels %g here, %g there", radial, travel)
		}
	}
	for i := range 3 {
		c := &sol.Cases[i]
		if !(c.Imbalance < 1e-9) || !(c.Work > 0) {
			t.Errorf("case %d: imbalance %g, work %g", i, c.Imbalance, c.Work)
		}
		if i != 0 && math.Hypot(c.Reactions[0][0]+2*force.X, c.Reactions[0][1]+2*force.Y) > 1e-6 {
			t.Errorf("case %d: reaction %g", i, c.Reactions[0])
		}
	}
	if !(sol.Cases[1].Work < sol.Cases[0].Work) {
		t.Errorf("the bolt, which holds more, moves farther: work %g, half pin %g", sol.Cases[1].Work, sol.Cases[0].Work)
	}
}

// Centrifugal force of a spin about a place of the plane: m·ω²·r in all.
func TestSpinPulls(t *testing.T) {
	m := rectangle(6, 2, 30, 10)
	p := &part.Part{Thickness: 2, Features: sides(), Supports: []part.Support{{Feature: left}},
		Cases: []part.Case{{Name: "spin", Factor: 1, Spin: part.Spin{Rate: 100, Center: geom.Point{X: -20, Y: 5}}}}}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	c := &solve(t, s, Isotropic(3000, 0.3, 2).WithThermal(0, 1e-3, 2)).Cases[0]
	want := 1e-3 * 2 * 30 * 10 * 100 * 100 * 35 * 1e-6
	if math.Abs(c.Applied[0]-want) > 1e-9*want || math.Abs(c.Applied[1]) > 1e-9*want {
		t.Errorf("applied %g, want %g along x", c.Applied, want)
	}
}

// Elastic spokes: a rigid plate on a bolt sinks by F/(k·π·d), however it hangs on
// it; stiff spokes are a rigid bolt; loads and reactions balance.
func TestElasticSpokes(t *testing.T) {
	r := shapes.Strip(60, 20, 6)
	m, err := mesh.Generate(r, mesh.Settings{Size: 4, ArcSize: 0.3})
	if err != nil {
		t.Fatal(err)
	}
	features, errs := part.Features(r, []part.Pick{{Name: "hole", Kind: part.Hole, Diameter: 6}, {Name: "left", Kind: part.Side, End: "left"}})
	if errs != nil {
		t.Fatal(errs)
	}
	force := geom.Point{X: 240, Y: 50}
	const spoke = 35.0
	answer := func(e float64, supports []part.Support, loads ...part.Load) *CaseSolution {
		p := &part.Part{Region: r, Thickness: 2, Features: features, Supports: supports, Cases: []part.Case{{Name: "pull", Factor: 2, Loads: loads}}}
		s, err := NewSystem(m, p, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		c := &solve(t, s, Isotropic(e, 0.3, 2)).Cases[0]
		if !(c.Imbalance < 1e-9) || math.Abs(c.Energy/c.Work-0.5) > 1e-6 {
			t.Errorf("imbalance %g, energy %g of work %g", c.Imbalance, c.Energy, c.Work)
		}
		var got geom.Point
		for _, r := range c.Reactions {
			got = got.Add(geom.Point{X: r[0], Y: r[1]})
		}
		if got.Add(force.Scale(2)).Norm() > 1e-6*force.Norm() {
			t.Errorf("reaction %v of a force %v", got, force.Scale(2))
		}
		return c
	}
	const stiff = 1e7 // so much more than the spokes, rounding still far off
	sinks := 2 * force.Norm() / (spoke * math.Pi * 6)
	left, bolt := []part.Support{{Feature: 1}}, part.Load{Feature: 0, Kind: part.Bolt, Force: force, Spoke: spoke}
	// The side stops the turn about the pin and takes nothing: the force goes through the pin.
	pin := []part.Support{{Feature: 0, Kind: part.Pinned, Spoke: spoke}, {Feature: 1, Kind: part.Sliding, Angle: math.Pi / 2}}
	for name, c := range map[string]*CaseSolution{"bolt": answer(stiff, left, bolt), "pin": answer(stiff, pin, part.Load{Feature: 0, Kind: part.Even, Force: force})} {
		work := 2 * force.Norm() * sinks
		if math.Abs(c.Work/work-1) > 1e-3 {
			t.Errorf("%s: work %g, want %g", name, c.Work, work)
		}
	}
	bolt.Spoke = 1e9
	soft, rigid := answer(3000, left, bolt), answer(3000, left, part.Load{Feature: 0, Kind: part.Bolt, Force: force})
	if math.Abs(soft.Work/rigid.Work-1) > 1e-4 {
		t.Errorf("stiff spokes: work %g, rigid bolt %g", soft.Work, rigid.Work)
	}
}
