package plate

import (
	"errors"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/mesh"
	"sinew/part"
)

// lug is a plate 60 by 40 with a hole of 10 in it; features: 0 hole, 1 left.
func lug(t *testing.T, size float64) (*mesh.Mesh, *part.Part) {
	t.Helper()
	r := geom.Region{Outer: shapes.Rectangle(0, 0, 60, 40).Outer, Holes: []geom.Loop{geom.Circle(geom.Point{X: 40, Y: 20}, 5).Reverse()}}
	m, err := mesh.Generate(r, mesh.Settings{Size: size, ArcSize: 0.3})
	if err != nil {
		t.Fatal(err)
	}
	features, errs := part.Features(r, []part.Pick{{Name: "hole", Kind: part.Hole, Diameter: 10}, {Name: "left", Kind: part.Side, End: "left"}})
	if errs != nil {
		t.Fatal(errs)
	}
	return m, &part.Part{Region: r, Thickness: 2, Features: features, Supports: []part.Support{{Feature: 1}}, Cases: []part.Case{{Name: "pull", Factor: 1}}}
}

var sheetMetal = func() Section {
	l := isotropic(70e3, 0.3)
	l.Density = 2.7e-3
	return Homogeneous(l, 2)
}()

// Whatever holds and loads the part, loads and reactions must balance in all
// six components, and the moment arms must be right.
func TestLoadsBalance(t *testing.T) {
	m, p := lug(t, 6)
	force, at := geom.Point{X: 300, Y: 120}, p.Features[0].Center
	for _, row := range []struct {
		name    string
		set     func(c *part.Case)
		applied [6]float64 // about the origin
	}{
		{"bolt, rigid", func(c *part.Case) {
			c.Loads = []part.Load{{Feature: 0, Kind: part.Bolt, Force: force, Out: 50, Moment: geom.Point{X: 7, Y: -9}}}
		}, [6]float64{300, 120, 50, 50*at.Y + 7, -50*at.X - 9, at.Cross(force)}},
		{"bolt, elastic", func(c *part.Case) {
			c.Loads = []part.Load{{Feature: 0, Kind: part.Bolt, Force: force, Out: 50, Moment: geom.Point{X: 7, Y: -9}, Spoke: 500}}
		}, [6]float64{300, 120, 50, 50*at.Y + 7, -50*at.X - 9, at.Cross(force)}},
		{"even, all ways", func(c *part.Case) {
			c.Loads = []part.Load{{Feature: 0, Kind: part.Even, Force: force, Out: 50, Moment: geom.Point{X: 7, Y: -9}}}
		}, [6]float64{300, 120, 50, 50*at.Y + 7, -50*at.X - 9, at.Cross(force)}},
		{"half pin", func(c *part.Case) {
			c.Loads = []part.Load{{Feature: 0, Kind: part.HalfPin, Force: geom.Point{X: 300}}}
		}, [6]float64{300, 0, 0, 0, 0, -300 * at.Y}},
		{"pressure", func(c *part.Case) { c.Bending.Pressure = 0.1 }, pressed(m, 0.1)},
		{"point", func(c *part.Case) {
			c.Bending.Points = []part.PointLoad{{At: geom.Point{X: 12.3, Y: 31}, Out: 9}}
		}, [6]float64{0, 0, 9, 9 * 31, -9 * 12.3, 0}},
		{"weight", func(c *part.Case) { c.Bending.Acceleration = 9810 }, pressed(m, -9810*2.7e-3*2*1e-6)},
	} {
		q := *p
		q.Cases = []part.Case{{Name: row.name, Factor: 1.5}}
		row.set(&q.Cases[0])
		c := &solve(t, newSystem(t, m, &q, Settings{}), sheetMetal).Cases[0]
		center := q.Features[1].Center
		for k, want := range row.applied {
			want *= 1.5
			if math.Abs(c.Applied[k]-want) > 1e-9*(1+math.Abs(want)) {
				t.Errorf("%s: applied %d is %g, want %g", row.name, k, c.Applied[k], want)
			}
		}
		r := c.Reactions[0]
		moments := [3]float64{r[3] + center.Y*r[2], r[4] - center.X*r[2], r[5] + center.X*r[1] - center.Y*r[0]}
		for k := range 3 {
			if row.name == "half pin" && k > 0 {
				continue // the pin's own guide takes some
			}
			if sum := r[k] + c.Applied[k]; math.Abs(sum) > 1e-8*(1+math.Abs(c.Applied[k])) {
				t.Errorf("%s: force %d is out of balance by %g", row.name, k, sum)
			}
			if sum := moments[k] + c.Applied[3+k]; row.name != "half pin" && math.Abs(sum) > 1e-7*(1+math.Abs(c.Applied[3+k])) {
				t.Errorf("%s: moment %d is out of balance by %g", row.name, k, sum)
			}
		}
		if math.Abs(c.Energy-c.Work/2) > 1e-9*c.Work {
			t.Errorf("%s: energy %g, half the work %g", row.name, c.Energy, c.Work/2)
		}
	}
}

// pressed is the resultant of a pressure on the whole face.
func pressed(m *mesh.Mesh, q float64) (r [6]float64) {
	e, err := newElements(m)
	if err != nil {
		panic(err)
	}
	for i, p := range e.at {
		f := q * e.weight[i]
		r[2] += f
		r[3] += f * p.Y
		r[4] -= f * p.X
	}
	return r
}

// Stiff spokes must come to the rigid bolt in the plane (across it they leave
// the rim free to tilt); soft ones move by F/(k·rim) more.
func TestElasticSpokes(t *testing.T) {
	m, p := lug(t, 6)
	p.Cases[0].Loads = []part.Load{{Feature: 0, Kind: part.Bolt, Force: geom.Point{X: 300}}}
	rigid := &solve(t, newSystem(t, m, p, Settings{}), sheetMetal).Cases[0]
	p.Cases[0].Loads[0].Spoke = 1e7
	stiff := &solve(t, newSystem(t, m, p, Settings{}), sheetMetal).Cases[0]
	if math.Abs(stiff.Work/rigid.Work-1) > 1e-3 {
		t.Errorf("stiff spokes give work %g, a rigid bolt %g", stiff.Work, rigid.Work)
	}
	p.Cases[0].Loads[0].Spoke, p.Cases[0].Loads[0].Out = 1, 0.1
	soft := &solve(t, newSystem(t, m, p, Settings{}), sheetMetal).Cases[0]
	want := (300*300 + 0.1*0.1) / (1 * math.Pi * 10) // the plate hardly bends under them
	if math.Abs(soft.Work/want-1) > 0.02 {
		t.Errorf("soft spokes give work %g, want about %g", soft.Work, want)
	}
}

// A half pin moves all that it presses on by its own travel along the radius.
func TestHalfPinFollows(t *testing.T) {
	m, p := lug(t, 5)
	p.Cases[0].Loads = []part.Load{{Feature: 0, Kind: part.HalfPin, Force: geom.Point{X: 300}}}
	s := newSystem(t, m, p, Settings{})
	c := &solve(t, s, sheetMetal).Cases[0]
	travel, pressedOn := math.NaN(), 0
	for _, n := range s.outline.Nodes(0) {
		r := m.Nodes[n].Sub(p.Features[0].Center)
		r = r.Scale(1 / r.Norm())
		if r.X < 0.05 {
			continue
		}
		radial := (c.D[5*n]*r.X + c.D[5*n+1]*r.Y) / r.X
		if math.IsNaN(travel) {
			travel = radial
		}
		pressedOn++
		if math.Abs(radial-travel) > 1e-9*travel {
			t.Errorf("at (%.3f, %.3f) the pin travels %g, elsewhere %g", r.X, r.Y, radial, travel)
		}
	}
	if pressedOn < 5 || !(travel > 0) || math.Abs(c.Work-300*travel) > 1e-9*c.Work {
		t.Errorf("%d nodes pressed on, travel %g, work %g", pressedOn, travel, c.Work)
	}
}

// A pinned hole on elastic spokes: the part moves as a body on them.
func TestElasticSupport(t *testing.T) {
	m, p := lug(t, 8)
	p.Supports = []part.Support{{Feature: 0, Kind: part.Pinned, Spoke: 10, Across: part.Clamped}, {Feature: 1, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Unheld}}
	p.Cases[0].Loads = []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: 100}}}
	s := newSystem(t, m, p, Settings{})
	c := &solve(t, s, sheetMetal).Cases[0]
	want := 100 / (10 * math.Pi * 10)
	if got := s.Deflections(c, 0)[0]; math.Abs(got/want-1) > 0.02 {
		t.Errorf("the hole moves %g, want about %g", got, want)
	}
	if got := c.Reactions[0][0]; math.Abs(got+100) > 1e-6 {
		t.Errorf("the spokes take %g, want -100", got)
	}
}

// On a bed alone, a plate under even pressure sinks by q/k everywhere.
func TestFoundation(t *testing.T) {
	m, p := lug(t, 8)
	p.Supports = []part.Support{{Feature: 1, Kind: part.Fixed, Across: part.Unheld}}
	p.Cases[0].Bending.Pressure = 0.02
	section := sheetMetal
	section.Foundation = []float64{0.4}
	c := &solve(t, newSystem(t, m, p, Settings{Bedded: true}), section).Cases[0]
	for n := range m.Nodes {
		if w := c.D[5*n+dispW]; math.Abs(w-0.05) > 1e-12 {
			t.Fatalf("node %d sinks %g, want 0.05", n, w)
		}
	}
}

// A spinning disc with a clamped middle would need its hub; a free ring shows
// the hoop stress of thin rings, rho·ω²·r² (Timoshenko & Goodier, art. 32).
func TestSpinningRing(t *testing.T) {
	const rate, r = 500.0, 50.0
	m := gridMesh(12, 1, func(s, u float64) geom.Point {
		sn, c := math.Sincos(math.Pi / 2 * (1 - s))
		return geom.Point{X: (r - 0.5 + u) * c, Y: (r - 0.5 + u) * sn}
	})
	p := &part.Part{Thickness: 2, Features: sides(), Supports: []part.Support{
		{Feature: left, Kind: part.Sliding, Across: part.Held}, {Feature: right, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Held}},
		Cases: []part.Case{{Name: "spin", Factor: 1, Spin: part.Spin{Rate: rate}}}}
	c := &solve(t, newSystem(t, m, p, Settings{}), sheetMetal).Cases[0]
	l := sheetMetal.at(0)
	want := 2.7e-3 * rate * rate * r * r * 1e-6
	at := l.resultant(&c.Strain[0])
	if got := (at[0] + at[1]) / 2; math.Abs(got/want-1) > 0.02 { // radial stress of the thin ring is next to nothing
		t.Errorf("hoop stress %g, want %g", got, want)
	}
}

// What is free to move is named.
func TestFreeMotion(t *testing.T) {
	m, p := lug(t, 10)
	for _, row := range []struct {
		support part.Support
		want    string
	}{
		{part.Support{Feature: 1, Kind: part.Resting}, "translation along y and rotation and tilt about y"},
		{part.Support{Feature: 1, Kind: part.Fixed, Across: part.Unheld}, "translation along z"},
		{part.Support{Feature: 1, Kind: part.Fixed, Across: part.Held}, "tilt about y"},
	} {
		p.Supports = []part.Support{row.support}
		_, err := NewSystem(m, p, Settings{})
		var free *FreeMotionError
		if !errors.As(err, &free) || !strings.Contains(err.Error(), row.want) {
			t.Errorf("support %+v: %v, want %q", row.support, err, row.want)
		}
	}
}

// The same bits for any number of workers.
func TestWorkersAgree(t *testing.T) {
	m, p := lug(t, 4)
	p.Cases[0].Bending.Pressure = 0.1
	p.Cases[0].Heat.Change = 30
	section := FromLaminate(coupled(t, 2, 0, 90, 45))
	one := solve(t, newSystem(t, m, p, Settings{Workers: 1}), section).Cases[0]
	three := solve(t, newSystem(t, m, p, Settings{Workers: 3}), section).Cases[0]
	for i := range one.D {
		if one.D[i] != three.D[i] {
			t.Fatalf("displacement %d: %g and %g", i, one.D[i], three.D[i])
		}
	}
}
