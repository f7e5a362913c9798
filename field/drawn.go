package field

import (
	"fmt"
	"math"
	"slices"

	"sinew/geom"
)

// drawn is a family of given paths. Its phase is flat: the paths say it all.
func (f *fitter) drawn(r *Request) Family {
	return Family{
		Name: r.Name, Kind: Drawn, Mesh: f.space.m, Phase: make([]float64, len(f.space.m.Nodes)),
		Paths: r.Paths, Spacing: r.Spacing, Smooth: r.Smooth,
	}
}

// pathSteps is how many points stand for a spacing's length of a path where
// the nearest path is sought: the bead's border is then off by 1 % of its
// width.
const pathSteps = 4

// pathFibre returns the fibre of given paths at points: that of the nearest
// path within half a spacing, one strand to a spacing.
func (f *Family) pathFibre(points []geom.Point) []Fibre {
	var at []geom.Point
	var theta []float64
	for _, p := range f.Paths {
		q, d := alongPath(p.Resample(f.Spacing / pathSteps))
		at = append(at, q...)
		for _, v := range d {
			theta = append(theta, math.Atan2(v.Y, v.X))
		}
	}
	out := make([]Fibre, len(points))
	if len(at) == 0 {
		return out
	}
	grid := geom.NewGrid(at)
	for i, p := range points {
		if k, d := grid.Nearest(p); d <= f.Spacing/2 {
			out[i] = Fibre{1 / f.Spacing, theta[k], true}
		}
	}
	return out
}

func (f *Family) pathLength() float64 {
	sum := 0.0
	for _, p := range f.Paths {
		sum += p.Length()
	}
	return sum
}

// locks lists which Drawn families lie in which others' layers.
func (s Settings) locks() []Lock {
	var out []Lock
	for i, r := range s.Families {
		if r.Into != "" {
			k := slices.IndexFunc(s.Families, func(q Request) bool { return q.Name == r.Into })
			out = append(out, Lock{i, k})
		}
	}
	return out
}

// validateDrawn says what is wrong with family i as a family of given paths.
func (s Settings) validateDrawn(i int, who string) error {
	r := &s.Families[i]
	if r.Kind != Drawn {
		if len(r.Paths) > 0 || r.Into != "" {
			return fmt.Errorf("%s: paths belong to a drawn family", who)
		}
		return nil
	}
	if len(r.Paths) == 0 {
		return fmt.Errorf("%s: has no path; give at least one", who)
	}
	for k, p := range r.Paths {
		if !(p.Length() > 0) || math.IsInf(p.Length(), 0) {
			return fmt.Errorf("%s: path %d has no length", who, k+1)
		}
	}
	if r.Into == "" {
		return nil
	}
	k := slices.IndexFunc(s.Families, func(q Request) bool { return q.Name == r.Into })
	switch {
	case k < 0 || s.Families[k].Kind == Drawn:
		return fmt.Errorf("%s: there is no family %q of another kind to lie in", who, r.Into)
	case r.Layers != 0:
		return fmt.Errorf("%s: lies in the layers of %s; give it no layers of its own", who, r.Into)
	}
	return nil
}
