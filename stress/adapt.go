package stress

import (
	"context"
	"math"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// RefineSettings steers Refine. The zero value of a field means its default.
type RefineSettings struct {
	Mesh     mesh.Settings // of the first mesh, and bounds on all
	Error    float64       // refine until the estimated error in the energy norm is below this share; default 0.05
	Peak     float64       // and until the peak stress of every case changes by less than this share; default: not asked
	Rounds   int           // most meshes; default 4
	MaxNodes int           // no mesh is asked to have more; default 400 000
}

func (s RefineSettings) withDefaults() RefineSettings {
	if s.Error <= 0 {
		s.Error = 0.05
	}
	if s.Rounds <= 0 {
		s.Rounds = 4
	}
	if s.MaxNodes <= 0 {
		s.MaxNodes = 400_000
	}
	return s
}

// AdaptRound records one mesh of a refinement.
type AdaptRound struct {
	Nodes int
	Error float64   // the worst of all cases
	Peaks []float64 // per case: greatest equivalent stress at a node, MPa
}

// Refined is a mesh that resolves the stress, and how it came about.
type Refined struct {
	Mesh    *mesh.Mesh
	Error   float64 // estimated, of the worst case, relative in the energy norm
	Reached bool    // the tolerance was met; false: rounds or nodes ran out
	History []AdaptRound
}

// Refine meshes a region and refines until its stress is resolved; analyse
// answers for a mesh with the estimate and the peak stress of every case.
//
// Sizes follow from the wish that every element carry the same share of the
// error: with quadratic displacements the error of an element goes with the
// square of its side, so the new side is h·√(wanted/estimated).
func Refine(region geom.Region, s RefineSettings, analyse func(*mesh.Mesh) ([]Estimate, []float64, error)) (*Refined, error) {
	s = s.withDefaults()
	set, out := s.Mesh, &Refined{}
	for round := range s.Rounds {
		m, err := mesh.Generate(region, set)
		if err != nil {
			return nil, err
		}
		if round > 0 && len(m.Nodes) > s.MaxNodes {
			break // what the round before found stands
		}
		estimates, peaks, err := analyse(m)
		if err != nil {
			return nil, err
		}
		out.Mesh = m
		size := out.judge(estimates, peaks, s)
		if out.Reached {
			break
		}
		set.SizeAt = sizesOver(m, size, s.Mesh.SizeAt)
	}
	return out, nil
}

// AdaptSettings steers Adapt. The zero value of a field means its default.
type AdaptSettings struct {
	RefineSettings
	System Settings
}

// Adapted is a refined mesh with its solution.
type Adapted struct {
	Refined
	System   *System
	Solution *Solution
}

// Adapt meshes the part and refines until its stress is resolved. The sheet
// must be the same everywhere (slices of length one).
func Adapt(ctx context.Context, p *part.Part, sheet Sheet, s AdaptSettings) (*Adapted, error) {
	out := &Adapted{}
	r, err := Refine(p.Region, s.RefineSettings, func(m *mesh.Mesh) (estimates []Estimate, peaks []float64, err error) {
		if out.System, err = NewSystem(m, p, s.System); err != nil {
			return nil, nil, err
		}
		if out.Solution, err = out.System.Solve(ctx, sheet); err != nil {
			return nil, nil, err
		}
		for i := range out.Solution.Cases {
			c := &out.Solution.Cases[i]
			estimates, peaks = append(estimates, out.System.Estimate(c, sheet)), append(peaks, out.System.peak(c, sheet))
		}
		return estimates, peaks, nil
	})
	if err != nil {
		return nil, err
	}
	out.Refined = *r
	return out, nil
}

// judge adds a round to the history and returns the wanted size of each
// element.
func (a *Refined) judge(estimates []Estimate, peaks []float64, s RefineSettings) []float64 {
	m := a.Mesh
	size := make([]float64, len(m.Tris))
	for t := range size {
		size[t] = longestSide(m, t)
	}
	wanted := append([]float64(nil), size...)
	round := AdaptRound{Nodes: len(m.Nodes), Peaks: peaks}
	for _, est := range estimates {
		round.Error = math.Max(round.Error, est.Relative)
		// Aim a little below, so that the next round is likely the last.
		target := s.Error
		if s.Peak > 0 && est.Relative <= s.Error {
			target = est.Relative / 2 // the mean is resolved, the peak perhaps not: go on where the error is
		}
		each := 0.8 * target * est.Norm / math.Sqrt(float64(len(size)))
		for t, e := range est.Elements {
			if e > 0 {
				f := math.Sqrt(each / e)
				wanted[t] = math.Min(wanted[t], size[t]*math.Min(1, math.Max(f, leastShrink)))
			}
		}
	}
	a.Error = round.Error
	a.Reached = round.Error <= s.Error && (s.Peak <= 0 || a.peaksRest(round.Peaks, s.Peak))
	a.History = append(a.History, round)
	return wanted
}

// leastShrink bounds how much finer one round may make a place: a guard
// against estimates taken on a mesh too coarse to tell.
const leastShrink = 0.25

func (a *Refined) peaksRest(peaks []float64, tolerance float64) bool {
	if len(a.History) == 0 {
		return false
	}
	for i, p := range a.History[len(a.History)-1].Peaks {
		if math.Abs(peaks[i]-p) > tolerance*peaks[i] {
			return false
		}
	}
	return true
}

func (s *System) peak(c *CaseSolution, sheet Sheet) float64 {
	worst := 0.0
	for _, t := range s.NodalStress(c, sheet) {
		worst = math.Max(worst, material.Mises(t))
	}
	return worst
}

func longestSide(m *mesh.Mesh, t int) float64 {
	n := m.Tris[t]
	a, b, c := m.Nodes[n[0]], m.Nodes[n[1]], m.Nodes[n[2]]
	return math.Max(a.Dist(b), math.Max(b.Dist(c), c.Dist(a)))
}

// sizesOver returns the size at a point from the sizes of the elements of a
// mesh: the least of the corners' sizes of the element there.
func sizesOver(m *mesh.Mesh, size []float64, also func(geom.Point) float64) func(geom.Point) float64 {
	at := make([]float64, len(m.Nodes))
	for i := range at {
		at[i] = math.Inf(1)
	}
	for t, tri := range m.Tris {
		for _, n := range tri {
			at[n] = math.Min(at[n], size[t])
		}
	}
	find := mesh.NewLocator(m)
	return func(p geom.Point) float64 {
		want := math.Inf(1)
		if tri, b, ok := find.Find(p); ok {
			n := m.Tris[tri]
			want = b[0]*at[n[0]] + b[1]*at[n[1]] + b[2]*at[n[2]]
		}
		if also != nil {
			want = math.Min(want, also(p))
		}
		return want
	}
}
