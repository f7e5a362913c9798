package field

import (
	"math"

	"sinew/geom"
	"sinew/part"
	"sinew/stress"
)

// judge compares designs by the failure indices of the field as planned.
type judge struct {
	in    *Input
	disc  *stress.Disc
	cases int
	warm  [][]float64 // see warmth
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
	// Alike is the mean over cases of the logarithms of the greatest index of
	// fibre and of matrix or plastic, where drawn strands are judged.
	Alike float64
	// Cases holds the greatest indices of each case by mode, where drawn strands
	// are judged.
	Cases []ModeIndices
}

// ModeIndices are the greatest indices of a case: fibre, bearing included;
// matrix; plain plastic.
type ModeIndices [3]float64

// modes of the score, its cases taken together.
func (s Score) modes() ModeIndices {
	return ModeIndices{math.Max(s.Bearing, math.Max(s.FT, s.FC)), s.M, s.Plastic}
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
	switch _, _, wk := g.weights(); g {
	case Weakest:
		return math.Max(s.logs()) + wk*s.Flexibility
	case Stiffest:
		return wk * s.Flexibility
	default:
		return s.Alike + wk*s.Flexibility
	}
}

// logs are the logarithms of the greatest index of fibre and of matrix or
// plastic.
func (s Score) logs() (fibre, matrix float64) {
	m := s.modes()
	return math.Log(math.Max(leastIndex, m[0])), math.Log(math.Max(leastIndex, math.Max(m[1], m[2])))
}

// with raises the indices to those of another case.
func (s *Score) with(o Score) {
	s.FT, s.FC, s.M = math.Max(s.FT, o.FT), math.Max(s.FC, o.FC), math.Max(s.M, o.M)
	s.Bearing, s.Plastic = math.Max(s.Bearing, o.Bearing), math.Max(s.Plastic, o.Plastic)
}

func newJudge(in *Input, set Settings) *judge {
	points := in.System.Points()
	masked := make([]bool, len(points))
	for i := range points { // of a terrace only what it covers is judged
		masked[i] = in.Stack.shareAt(i) == 0 && in.Stack.Covers*in.Stack.coverShareAt(i) == 0
	}
	if set.Mask > 0 {
		if edges := grippedEdges(in.Part); len(edges) > 0 {
			near := geom.NewBoundary(geom.Region{Outer: edges})
			for i, p := range points {
				masked[i] = masked[i] || near.Nearest(p).Distance < set.Mask
			}
		}
	}
	return &judge{in, stress.NewMaskedDisc(points, in.System.Weights(), set.Radius, masked), len(in.Part.Cases), warmth(in)}
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

// score judges the layers of the families with more than no layers; operator
// places the points of the system in a family.
func (j *judge) score(families []Family, layers []int, sol *stress.Solution, operator func(*Family) *Gradient) Score {
	var s Score
	n := len(j.in.System.Points())
	fibre := make([]Fibre, n)
	v := [3][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	mean := make([]float64, n)
	for k := range families {
		if layers[k] == 0 {
			continue
		}
		op := operator(&families[k])
		for i := range fibre {
			fibre[i] = families[k].FibreAt(op, i)
		}
		for c := range sol.Cases {
			for i, b := range fibre {
				v[0][i], v[1][i], v[2][i] = 0, 0, 0
				if b.Covered && j.in.Stack.shareAt(i) > 0 {
					sin, cos := math.Sincos(b.Theta)
					v[0][i], v[1][i], v[2][i] = j.in.Stack.Law.Indices(b.Rho, j.fibreStrain(sol.Cases[c].Strain[i], c, i, b.Rho, cos, sin))
				}
				if b.Rho < hiddenShare*j.in.Stack.Law.RhoMin() {
					v[0][i], v[1][i] = 0, 0
				}
			}
			for mode, most := range [3]*float64{&s.FT, &s.FC, &s.M} {
				j.disc.MeanTo(mean, v[mode])
				*most = max(*most, maximum(mean))
			}
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
		m = max(m, x)
	}
	return m
}
