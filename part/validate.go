package part

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
)

// Fault is one thing that keeps a part from being analysed.
type Fault struct {
	Path         string // the thing in the part, counted from 0: "case[0].load[1].at"
	Where        string // the same in words: "case \"lift\", load 2"
	What, Remedy string
}

// Error gives "where: what; remedy".
func (f Fault) Error() string { return f.Where + ": " + f.What + "; " + f.Remedy }

// Faults holds everything that is wrong with a part.
type Faults []Fault

// Error lists the faults, one a line.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Validate reports everything that keeps the part from being analysed, as
// Faults: a bad outline, features that are not there, loads that act on
// nothing or on what is held, forces and factors that are no numbers, probes
// outside. Whether the supports stop every rigid motion, the stiffness shows
// when it is factorised.
func (p *Part) Validate() error {
	v := &validator{part: p}
	if err := p.Region.Validate(); err != nil {
		v.add(place{"outline", "outline"}, err.Error(), "mend the drawing")
	}
	if !(p.Thickness > 0) || math.IsInf(p.Thickness, 0) {
		v.add(place{"thickness", "thickness"}, fmt.Sprintf("is %g mm", p.Thickness), "give a positive thickness")
	}
	v.slabs()
	v.features()
	v.supports()
	v.cases()
	v.probes()
	if len(v.faults) == 0 {
		return nil
	}
	return v.faults
}

type validator struct {
	part   *Part
	faults Faults
}

// place is where a fault stands, as a path and in words.
type place struct{ path, words string }

func (p place) field(name string) place { return place{p.path + "." + name, p.words} }

func (v *validator) add(at place, what, remedy string) {
	v.faults = append(v.faults, Fault{at.path, at.words, what, remedy})
}

func finite(list ...float64) bool {
	for _, x := range list {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

func (v *validator) features() {
	loops := v.part.Region.Loops()
	seen := map[string]bool{}
	for i, f := range v.part.Features {
		at := place{fmt.Sprintf("feature[%d]", i), fmt.Sprintf("feature %d, %q", i+1, f.Name)}
		if f.Name == "" || seen[f.Name] {
			v.add(at, "its name is empty or there twice", "give each feature its own name")
		}
		seen[f.Name] = true
		if f.Loop < 0 || f.Loop >= len(loops) {
			v.add(at, fmt.Sprintf("lies on loop %d of %d", f.Loop, len(loops)), "pick it again")
			continue
		}
		if len(f.Edges) == 0 {
			v.add(at, "has no edges", "pick it again")
		}
		for _, e := range f.Edges {
			if e < 0 || e >= len(loops[f.Loop]) {
				v.add(at, fmt.Sprintf("holds edge %d of %d", e, len(loops[f.Loop])), "pick it again")
			}
		}
	}
}

// has reports whether a feature is there, and notes if not.
func (v *validator) has(at place, feature int) bool {
	if feature >= 0 && feature < len(v.part.Features) {
		return true
	}
	v.add(at.field("at"), fmt.Sprintf("acts on feature %d, which is not there", feature), "name a feature of the part")
	return false
}

func (v *validator) supports() {
	if len(v.part.Supports) == 0 {
		v.add(place{"support", "supports"}, "the part is held nowhere", "hold a feature")
	}
	for i, s := range v.part.Supports {
		at := place{fmt.Sprintf("support[%d]", i), fmt.Sprintf("support %d", i+1)}
		if !v.has(at, s.Feature) {
			continue
		}
		if s.Kind < Fixed || s.Kind > Resting {
			v.add(at, fmt.Sprintf("has the unknown kind %d", s.Kind), "use fixed, pinned, sliding or resting")
		}
		if s.Across < ByKind || s.Across > Mirrored {
			v.add(at, fmt.Sprintf("holds across the plane in the unknown way %d", s.Across), "use unheld, held, hinged, clamped or mirrored")
		}
		if !finite(s.Spoke) || s.Spoke < 0 || s.Spoke > 0 && s.Kind != Pinned {
			v.add(at, fmt.Sprintf("has spokes of %g N/mm²", s.Spoke), "give spokes of a pinned feature a stiffness, or none")
		}
		if !finite(s.Angle) {
			v.add(at.field("angle"), fmt.Sprintf("its angle is %g", s.Angle), "give a number")
		}
		for _, t := range v.part.Supports[:i] {
			if t.Feature == s.Feature && (t.Kind < Sliding || s.Kind < Sliding) {
				v.add(at.field("at"), fmt.Sprintf("%q is held twice", v.part.Features[s.Feature].Name), "keep one of its supports")
			}
		}
	}
}

func (v *validator) cases() {
	if len(v.part.Cases) == 0 {
		v.add(place{"case", "cases"}, "there is no load case", "add one")
	}
	for n, c := range v.part.Cases {
		at := place{fmt.Sprintf("case[%d]", n), fmt.Sprintf("case %q", c.Name)}
		if !(c.Factor > 0) || !finite(c.Factor) {
			v.add(at, fmt.Sprintf("its factor is %g", c.Factor), "give a factor above 0")
		}
		if !finite(c.Acceleration.X, c.Acceleration.Y, c.Heat.Change, c.Heat.Slope.X, c.Heat.Slope.Y) || !c.isNumber() {
			v.add(at, "its acceleration or temperature change is no number", "give numbers")
		}
		if !c.Acts() {
			v.add(at, "nothing acts", "add a load, an acceleration or a temperature change")
		}
		for i, q := range c.Bending.Points {
			if !v.part.Region.Contains(q.At) {
				v.add(place{fmt.Sprintf("%s.point[%d].at", at.path, i), fmt.Sprintf("%s, point load %d", at.words, i+1)}, fmt.Sprintf("(%g, %g) lies outside the part", q.At.X, q.At.Y), "move it onto the part")
			}
		}
		for i, l := range c.Loads {
			v.load(place{fmt.Sprintf("%s.load[%d]", at.path, i), fmt.Sprintf("%s, load %d", at.words, i+1)}, l)
		}
	}
}

func (v *validator) load(at place, l Load) {
	if !v.has(at, l.Feature) {
		return
	}
	f := v.part.Features[l.Feature]
	if l.Kind < Bearing || l.Kind > Bolt {
		v.add(at, fmt.Sprintf("has the unknown kind %d", l.Kind), "use bearing, even, traction, pressure, grip, half-pin or bolt")
	}
	switch {
	case !finite(l.Force.X, l.Force.Y, l.Out, l.Moment.X, l.Moment.Y, l.Spoke) || l.Spoke < 0:
		v.add(at, fmt.Sprintf("its force is (%g, %g)", l.Force.X, l.Force.Y), "give numbers")
	case l.Force == (geom.Point{}) && l.Out == 0 && l.Moment == (geom.Point{}):
		v.add(at, "its force is zero", "give a force, or delete the load")
	}
	if l.Kind != Even && l.Kind != Bolt && (l.Out != 0 || l.Moment != (geom.Point{})) {
		v.add(at, "its kind takes no force or moment across the plane", "give these to an even or a bolt load")
	}
	if (l.Kind == Bearing || l.Kind == HalfPin) && (f.Kind != Hole || !(f.Diameter > 0)) {
		v.add(at.field("at"), fmt.Sprintf("%q is not a round hole: no pin bears on it", f.Name), "load a round hole, or spread the force evenly")
	}
	for _, s := range v.part.Supports {
		if s.Feature != l.Feature {
			continue
		}
		how := ""
		switch {
		case s.Kind == Fixed:
			how = " fixed"
		case l.Kind < Grip || s.Kind == Resting:
			continue
		}
		v.add(at.field("at"), fmt.Sprintf("%q is held%s, so that the load does nothing to the part", f.Name, how), "load another feature, or hold another")
		return
	}
}

func (v *validator) probes() {
	for i, q := range v.part.Probes {
		at := place{fmt.Sprintf("probe[%d]", i), fmt.Sprintf("probe %q", q.Name)}
		switch {
		case !finite(q.Angle):
			v.add(at.field("angle"), fmt.Sprintf("its angle is %g", q.Angle), "give a number")
		case q.Feature != -1:
			v.has(at, q.Feature)
		case !finite(q.At.X, q.At.Y) || !v.part.Region.Contains(q.At):
			v.add(at.field("point"), fmt.Sprintf("(%g, %g) lies outside the part", q.At.X, q.At.Y), "move it onto the part")
		}
	}
}
