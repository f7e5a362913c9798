package proof

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/stress"
)

// Joint sets the trade's simple formulas for a loaded hole beside the finite
// elements: mean pressure, mean stress of the net section, mean shear of the
// two planes to the end, against the plain strengths of the stack at those
// places.
type Joint struct {
	Feature   int
	Force     float64 // N, the case's factor included
	Direction float64 // in which the pin presses on the part, rad
	// Width is the hole and twice the smaller ligament beside it, Edge the
	// distance from the hole's centre to the part's edge ahead, mm.
	Width, Edge float64
	Checks      []material.LugReserve
	// Elements is the least margin that the finite elements find around the hole,
	// up to half a diameter from its rim, by the rule that the part is judged by;
	// nil where nothing is loaded there.
	Elements *Margin
}

// units of force that the simple formulas compare with.
var (
	pull  = [3]float64{1, 0, 0}
	press = [3]float64{-1, 0, 0}
	slide = [3]float64{0, 0, 1}
)

// joints judges every round hole that a pin loads or that is held, under one
// case.
func (j *judge) joints(plies []ply, i int, c *stress.CaseSolution, bearing float64) ([]Joint, error) {
	var list []Joint
	for _, l := range j.pins(i, c) {
		f := &j.in.Part.Features[l.feature]
		force := l.force.Norm()
		if f.Kind != part.Hole || f.Diameter == 0 || force < leastPin*math.Abs(c.Applied[0])+leastPin*math.Abs(c.Applied[1]) || force == 0 {
			continue
		}
		joint, err := j.joint(plies, l, bearing)
		if err != nil {
			return nil, fmt.Errorf("hole %s: %w", f.Name, err)
		}
		list = append(list, joint)
	}
	return list, nil
}

// leastPin is the share of a case's force below which a hole counts as not
// loaded: a support that only steadies the part.
const leastPin = 1e-6

// pin is a force on a hole.
type pin struct {
	feature int
	force   geom.Point
}

func (j *judge) pins(i int, c *stress.CaseSolution) []pin {
	var list []pin
	pc := &j.in.Part.Cases[i]
	for _, l := range pc.Loads {
		if j.isPin(l) {
			list = append(list, pin{l.Feature, l.Force.Scale(pc.Factor)})
		}
	}
	for k, h := range j.in.Part.Supports {
		list = append(list, pin{h.Feature, geom.Point{X: c.Reactions[k][0], Y: c.Reactions[k][1]}})
	}
	return list
}

// joint measures the lug around a hole along the force and judges it.
func (j *judge) joint(plies []ply, l pin, bearing float64) (Joint, error) {
	f := &j.in.Part.Features[l.feature]
	ahead := l.force.Scale(1 / l.force.Norm())
	beside := geom.Point{X: -ahead.Y, Y: ahead.X}
	r := f.Diameter / 2
	left, right := j.ligament(f.Center, beside, r), j.ligament(f.Center, beside.Scale(-1), r)
	end := r + j.ligament(f.Center, ahead, r)
	out := Joint{
		Feature: l.feature, Force: l.force.Norm(), Direction: math.Atan2(ahead.Y, ahead.X),
		Width: f.Diameter + 2*math.Min(left, right), Edge: end,
	}
	at := func(forward, aside float64) geom.Point {
		return f.Center.Add(ahead.Scale(forward)).Add(beside.Scale(aside))
	}
	// weaker is the less of the mean strengths of two sections.
	weaker := func(force [3]float64, from1, to1, from2, to2 geom.Point) (float64, error) {
		one, err := j.meanUltimate(plies, from1, to1, out.Direction, force)
		if err != nil {
			return 0, err
		}
		other, err := j.meanUltimate(plies, from2, to2, out.Direction, force)
		return math.Min(one, other), err
	}
	var s material.LugStrength
	var err error
	if s.Tension, err = weaker(pull, at(0, r), at(0, r+left), at(0, -r), at(0, -r-right)); err != nil {
		return out, err
	}
	if s.Shear, err = weaker(slide, at(0, r), at(end, r), at(0, -r), at(end, -r)); err != nil {
		return out, err
	}
	if s.Bearing = bearing; bearing == 0 {
		before := r + math.Min(r/2, (end-r)/2)
		if s.Bearing, err = j.meanUltimate(plies, at(before, -r), at(before, r), out.Direction, press); err != nil {
			return out, err
		}
	}
	lug := material.Lug{Force: out.Force, Diameter: f.Diameter, Width: out.Width, Edge: out.Edge, Thickness: j.thicknessAt(plies, at(r, 0))}
	out.Checks, err = lug.Reserves(s)
	return out, err
}

// thicknessAt is what the plies add up to at a place, mm.
func (j *judge) thicknessAt(plies []ply, at geom.Point) float64 {
	p, _ := j.grid.Nearest(at)
	sum := 0.0
	for i := range plies {
		sum += plies[i].thickness * plies[i].shareAt(p) * plies[i].filled(p)
	}
	return sum
}

// ligament is the length of material from a hole's rim outwards.
func (j *judge) ligament(center, way geom.Point, radius float64) float64 {
	box := j.in.Part.Region.Outer.Bounds()
	far := box.Max.Sub(box.Min).Norm()
	line := geom.Path{Points: []geom.Point{center.Add(way.Scale(radius * pastRim)), center.Add(way.Scale(radius + far))}}
	pieces := j.clip.Clip(line)
	if len(pieces) == 0 {
		return 0
	}
	return pieces[0].Length() + radius*(pastRim-1)
}

// pastRim starts a line just outside the hole, in radii: within the flattening
// of its circle.
const pastRim = 1.001

// sections is at how many places of a section its strength is looked up.
const sections = 5

// meanUltimate is the mean of the plain strength of the stack along a section
// of the part: the simple formulas spread the force evenly over it.
func (j *judge) meanUltimate(plies []ply, from, to geom.Point, direction float64, force [3]float64) (float64, error) {
	sum := 0.0
	for k := range sections {
		s, err := j.ultimate(plies, from.Lerp(to, (float64(k)+0.5)/sections), direction, force)
		if err != nil {
			return 0, err
		}
		sum += s / sections
	}
	return sum, nil
}

// lookAround marks the points around every round hole that something loads or
// holds, by feature.
func (j *judge) lookAround() map[int][]bool {
	out := map[int][]bool{}
	add := func(feature int) {
		f := &j.in.Part.Features[feature]
		if f.Kind != part.Hole || f.Diameter == 0 || out[feature] != nil {
			return
		}
		near := make([]bool, len(j.points))
		for p, at := range j.points {
			near[p] = at.Dist(f.Center) < f.Diameter
		}
		out[feature] = near
	}
	for i := range j.in.Part.Cases {
		for _, l := range j.in.Part.Cases[i].Loads {
			if j.isPin(l) {
				add(l.Feature)
			}
		}
	}
	for _, h := range j.in.Part.Supports {
		add(h.Feature)
	}
	return out
}

// ultimate is the plain strength of the stack at a place under a force turned
// to a direction.
func (j *judge) ultimate(plies []ply, at geom.Point, direction float64, force [3]float64) (float64, error) {
	q, _ := j.grid.Nearest(at)
	if len(plies) == 1 && plies[0].beads == nil {
		return plies[0].plain.ultimate(force), nil
	}
	layers, err := j.stackAt(plies, q)
	if err != nil {
		return 0, err
	}
	for i := range layers {
		layers[i].Theta -= direction
	}
	l, err := material.NewLaminate(layers, 0)
	if err != nil {
		return 0, err
	}
	if l, err = l.Flat(); err != nil { // the part around the hole holds it so
		return 0, err
	}
	return l.Ultimate(material.Degrade{Criterion: j.set.MatrixCriterion()}, force)
}

// stackAt returns the layers at a point of the judge, ply by ply.
func (j *judge) stackAt(plies []ply, point int) ([]material.Layer, error) {
	layers := make([]material.Layer, 0, len(plies))
	for i := range plies {
		y := &plies[i]
		p, theta, err := j.plyAt(y, point)
		if err != nil {
			return nil, err
		}
		if h := y.thickness * y.shareAt(point) * y.filled(point); h > 0 {
			layers = append(layers, material.Layer{Ply: p, Theta: theta, Thickness: h})
		}
	}
	return layers, nil
}

func (j *judge) plyAt(y *ply, point int) (*material.Ply, float64, error) {
	if y.beads != nil && y.beads.Covered(point) {
		rho := y.beads.effective(point)
		p, err := material.NewPly(j.in.Law.Lamina(rho), j.in.Law.Strength(rho), material.Judge{})
		return p, y.beads.Angle(point), err
	}
	plain := y.plain
	if y.beads != nil {
		plain = j.pocket
	}
	p, err := material.NewPly(plain.lamina, plain.strength, material.Judge{})
	return p, 0, err
}
