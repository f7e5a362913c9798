package field

import (
	"math"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/stress"
)

// judge compares designs by the failure indices of the field as planned.
type judge struct {
	in    *Input
	disc  *stress.Disc
	cases int
}

// Score holds the greatest index over all cases and layers, averaged over
// discs: fibre tension, fibre compression, matrix; 1 is failure.
type Score struct {
	FT, FC, M float64
	// Bearing is fibre compression before a loaded pin, where drawn strands are
	// judged; as planned it counts among FC.
	Bearing float64
	// Plastic is the index of plain plastic in covers and pockets, where drawn
	// strands are judged and the plastic's strength is given.
	Plastic float64
	// Flexibility is the mean over cases of half the logarithm of the energy.
	Flexibility float64
}

// Worst is the greatest index.
func (s Score) Worst() float64 {
	return math.Max(math.Max(s.M, s.Plastic), math.Max(s.Bearing, math.Max(s.FT, s.FC)))
}

// Governing names the mode of the greatest index.
func (s Score) Governing() string {
	switch s.Worst() {
	case s.FT:
		return "fibre tension"
	case s.M:
		return "matrix"
	case s.FC:
		return "fibre compression"
	case s.Bearing:
		return "bearing at a pin"
	}
	return "plastic strength"
}

// by is what a choice between designs rests on, by goal: lower is better.
func (s Score) by(g Goal) float64 {
	fibre := math.Log(math.Max(leastIndex, math.Max(s.Bearing, math.Max(s.FT, s.FC))))
	matrix := math.Log(math.Max(leastIndex, math.Max(s.M, s.Plastic)))
	wf, wm, wk := g.weights()
	if g == Weakest {
		return math.Max(fibre, matrix) + wk*s.Flexibility
	}
	return wf*fibre + wm*matrix + wk*s.Flexibility
}

func newJudge(in *Input, set Settings) *judge {
	points := in.System.Points()
	masked := make([]bool, len(points))
	if set.Mask > 0 {
		if edges := grippedEdges(in.Part); len(edges) > 0 {
			near := geom.NewBoundary(geom.Region{Outer: edges})
			for i, p := range points {
				masked[i] = near.Nearest(p).Distance < set.Mask
			}
		}
	}
	return &judge{in, stress.NewMaskedDisc(points, in.System.Weights(), set.Radius, masked), len(in.Part.Cases)}
}

// grippedEdges lists the outline's edges at which load enters or a support
// holds; pins stay out, since their rims must be judged.
func grippedEdges(p *part.Part) geom.Loop {
	owner := activeEdges(p)
	var out geom.Loop
	for i, e := range p.Region.Outer {
		if _, ok := owner[geom.EdgeRef{Loop: 0, Edge: i}]; ok {
			out = append(out, e)
		}
	}
	return out
}

// severities weigh the cases: the greatest mean principal strain of each as a
// share of the greatest of all, so that the case nearer to failure has more to
// say than its stress alone.
func (j *judge) severities(sol *stress.Solution) []float64 {
	out := make([]float64, len(sol.Cases))
	if len(out) == 1 {
		out[0] = 1
		return out
	}
	most := 0.0
	et, ec := j.in.Stack.Law.FibreStrain()
	v := make([]float64, len(j.in.System.Points()))
	for c := range sol.Cases {
		for i, e := range sol.Cases[c].Strain {
			mid, r := (e[0]+e[1])/2, math.Hypot((e[0]-e[1])/2, e[2]/2)
			v[i] = math.Max((mid+r)/et, -(mid-r)/ec)
		}
		out[c] = maximum(j.disc.Mean(v))
		most = math.Max(most, out[c])
	}
	for c := range out {
		if most > 0 {
			out[c] /= most
		} else {
			out[c] = 1
		}
	}
	return out
}

// score judges the layers of the families with more than no layers; operator
// places the points of the system in a family.
func (j *judge) score(families []Family, layers []int, sol *stress.Solution, operator func(*Family) *Gradient) Score {
	var s Score
	points := j.in.System.Points()
	v := [3][]float64{make([]float64, len(points)), make([]float64, len(points)), make([]float64, len(points))}
	for k := range families {
		if layers[k] == 0 {
			continue
		}
		op := operator(&families[k])
		for c := range sol.Cases {
			for i := range points {
				b := families[k].FibreAt(op, i)
				v[0][i], v[1][i], v[2][i] = 0, 0, 0
				if b.Covered {
					v[0][i], v[1][i], v[2][i] = j.in.Stack.Law.Indices(b.Rho, material.TurnStrain(sol.Cases[c].Strain[i], b.Theta))
				}
				if b.Rho < hiddenShare*j.in.Stack.Law.RhoMin() {
					v[0][i], v[1][i] = 0, 0
				}
			}
			s.FT = math.Max(s.FT, maximum(j.disc.Mean(v[0])))
			s.FC = math.Max(s.FC, maximum(j.disc.Mean(v[1])))
			s.M = math.Max(s.M, maximum(j.disc.Mean(v[2])))
		}
	}
	return s
}

// hiddenShare of the least density is below what prints as a strand: the
// planned field has stagnation points there, the printed one a pocket.
const hiddenShare = 0.8

// value is what a choice between designs rests on: lower is better. Fibre and
// matrix count alike, on a scale of ratios.
func (s Score) value() float64 {
	const floor = 1e-12 // of an unloaded part
	return math.Log(math.Max(floor, math.Max(s.FT, s.FC))) + math.Log(math.Max(floor, s.M))
}

func maximum(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, x)
	}
	return m
}
