package job

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/part"
)

// buildPart puts features, supports, cases and probes on the region.
func (j *Job) buildPart(r geom.Region) (*part.Part, error) {
	f := j.file
	p := &part.Part{Name: f.Name, Region: r, Thickness: float64(f.Part.Thickness)}
	picks := make([]part.Pick, len(f.Features))
	for i, t := range f.Features {
		picks[i] = pickOf(t)
	}
	var errs []error
	p.Features, errs = part.Features(r, picks)
	for i, err := range errs {
		if err != nil {
			what, remedy, _ := cutRemedy(err.Error())
			j.faults.add(fmt.Sprintf("feature[%d]", i), what, remedy)
		}
	}
	if err := j.faults.err(); err != nil {
		return nil, err
	}
	j.addSupports(p)
	j.addCases(p)
	j.addProbes(p)
	if err := j.validated(p); err != nil {
		return nil, err
	}
	return p, nil
}

// validated adds what the part itself finds wrong: its paths are the job's
// keys. Where a key has a fault already, that one says more.
func (j *Job) validated(p *part.Part) error {
	var bad part.Faults
	if err := p.Validate(); err != nil && !errors.As(err, &bad) {
		return asInput(FileName, "", err)
	}
	told := map[string]bool{}
	for _, f := range j.faults.faults {
		told[f.Key] = true
	}
	for _, f := range bad {
		if !told[f.Path] {
			j.faults.add(f.Path, f.What, f.Remedy)
		}
	}
	return j.faults.err()
}

func pickOf(t FeatureTable) part.Pick {
	p := part.Pick{Name: t.Name}
	if h := t.Hole; h != nil {
		p.Kind, p.Near, p.Diameter = part.Hole, pointOf(h.Near), float64(h.Diameter)
		return p
	}
	p.Kind, p.Near, p.Layer, p.Face, p.End = part.Side, pointOf(t.Side.Near), t.Side.Layer, t.Side.Face, t.Side.End
	return p
}

func pointOf(xy *[2]Length) *geom.Point {
	if xy == nil {
		return nil
	}
	return &geom.Point{X: float64(xy[0]), Y: float64(xy[1])}
}

// feature finds a feature by name; a name that is not there is a fault at the
// key, and -1.
func (j *Job) feature(p *part.Part, key, name string) int {
	for i, f := range p.Features {
		if f.Name == name {
			return i
		}
	}
	names := ""
	for i, f := range p.Features {
		if i > 0 {
			names += ", "
		}
		names += fmt.Sprintf("%q", f.Name)
	}
	if names == "" {
		names = "none: add a [[feature]]"
	}
	j.faults.add(key, fmt.Sprintf("there is no feature %q", name), "the part has "+names)
	return -1
}

func (j *Job) addSupports(p *part.Part) {
	kinds := map[string]part.SupportKind{"fixed": part.Fixed, "pinned": part.Pinned, "sliding": part.Sliding, "resting": part.Resting}
	for i, t := range j.file.Supports {
		key := fmt.Sprintf("support[%d]", i)
		n := j.feature(p, key+".at", t.At)
		p.Supports = append(p.Supports, part.Support{Feature: n, Kind: kinds[t.How], Angle: float64(t.Angle), Across: acrossOf[t.Across], Spoke: float64(t.Spoke)})
	}
}

func (j *Job) addCases(p *part.Part) {
	for i, t := range j.file.Cases {
		c := part.Case{
			Name: t.Name, Factor: factorOf(t), Heat: j.heatOf(p, fmt.Sprintf("case[%d]", i), t),
			Acceleration: geom.Point{X: float64(t.Acceleration[0]), Y: float64(t.Acceleration[1])},
		}
		addAcross(&c, t)
		for k, l := range t.Loads {
			c.Loads = append(c.Loads, j.loadOf(p, fmt.Sprintf("case[%d].load[%d]", i, k), l))
		}
		p.Cases = append(p.Cases, c)
	}
}

// loadOf turns a load table into a load on its feature.
func (j *Job) loadOf(p *part.Part, key string, t LoadTable) part.Load {
	kinds := map[string]part.LoadKind{"bearing": part.Bearing, "even": part.Even, "traction": part.Traction, "pressure": part.Pressure, "grip": part.Grip, "half-pin": part.HalfPin, "bolt": part.Bolt}
	l := part.Load{Feature: j.feature(p, key+".at", t.At), Kind: kinds[t.How], Out: float64(t.Out), Moment: geom.Point{X: float64(t.Moment[0]), Y: float64(t.Moment[1])}, Spoke: float64(t.Spoke)}
	size := float64(t.Force)
	if l.Kind == part.Traction || l.Kind == part.Pressure {
		size = float64(t.Stress)
	}
	sin, cos := math.Sincos(float64(t.Angle))
	l.Force = geom.Point{X: size * cos, Y: size * sin}
	if l.Kind == part.Pressure {
		l.Force = geom.Point{X: size}
	}
	return l
}

func (j *Job) addProbes(p *part.Part) {
	for i, t := range j.file.Probes {
		key := fmt.Sprintf("probe[%d]", i)
		q := part.Probe{Name: t.Name, Feature: -1, Angle: float64(t.Angle)}
		if t.At != "" {
			q.Feature = j.feature(p, key+".at", t.At)
		} else {
			q.At = *pointOf(t.Point)
		}
		p.Probes = append(p.Probes, q)
	}
}

// checkFamilies notes what part and bead do not allow a family.
func (j *Job) checkFamilies(in *inputs) error {
	lo, hi := 1/in.law.RhoMax(), 1/in.law.RhoMin()
	for i, t := range j.file.Layup.Families {
		key := fmt.Sprintf("layup.family[%d]", i)
		if s := float64(t.Spacing); s != 0 && (s < lo*(1-roundedLimit) || s > hi*(1+roundedLimit)) {
			j.faults.add(key+".spacing", fmt.Sprintf("%g mm is not what a bead allows", s), fmt.Sprintf("give %.4g to %.4g mm", lo, hi))
		}
		if t.Kind == "steered" && !slices.ContainsFunc(in.part.Cases, func(c part.Case) bool { return c.ActsInPlane() }) {
			j.faults.add(key+".kind", "steered strands follow the forces in the part's plane, and no case has any there", "make the family straight, loop or rim, or add a load in the plane")
		}
		for k, name := range t.Around {
			at := key + ".around"
			n := j.feature(in.part, at, name)
			switch {
			case n >= 0 && in.part.Features[n].Loop == 0:
				j.faults.add(at, fmt.Sprintf("%q is no hole", name), "name a hole that the loop runs around")
			case n >= 0 && t.FigureEight && in.part.Features[n].Diameter == 0:
				j.faults.add(at, fmt.Sprintf("%q is not round", name), "a figure of eight runs around round holes; delete figure_eight")
			}
			if k > 0 && name == t.Around[0] {
				j.faults.add(at, fmt.Sprintf("names %q twice", name), "name one hole, or two that the loop joins")
			}
		}
	}
	return j.faults.err()
}

// roundedLimit lets a spacing stand that equals a limit but for rounding.
const roundedLimit = 1e-9
