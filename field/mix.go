package field

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// MixGoal is what a search for the layer mix makes best.
type MixGoal int

// The goals of the search.
const (
	BestReserve   MixGoal = iota // the reserve of whatever fails first
	BestStiffness                // stiffness, as long as the reserves suffice
	FewestLayers                 // the number of layers, as long as the reserves suffice
	LeastTow                     // the length of strands, as long as the reserves suffice
	// BestRatio raises the reserve of each mode under each case against that of
	// quasi-isotropic fibre, the least ratio first.
	BestRatio
)

// MixSettings steers FindMix. Candidates are the Families of its Settings:
// their Layers say where the search starts, none for a family that may enter.
type MixSettings struct {
	Goal MixGoal
	// Keep marks families whose number of layers is locked; nil: none.
	Keep []bool
	// NeedFibre and NeedMatrix are the least reserve factors of fibre and of
	// matrix and plastic; default 1.
	NeedFibre, NeedMatrix float64
	// Tow is the greatest length of strands in all layers, mm; 0: any.
	Tow float64
	// Unsymmetric moves layers one at a time; by default they move in pairs, so
	// that the stack stays symmetric.
	Unsymmetric bool
	// Resume holds mixes analysed by a search of the same input that was stopped.
	Resume []TriedMix
	// Least is the least number of layers that FewestLayers may leave; default 2.
	Least int
}

// Mix is a number of layers for each family.
type Mix struct {
	Layers []int
	Score  Score // of the lay-up, as printed where strands could be drawn
	Length float64
	Tried  int // mixes analysed
	Steps  []MixStep
	First  float64     // objective of the mix that was given
	Best   []RankedMix // the best of those analysed, that found first
	// Left lists families of which too little can be printed to be of use.
	Left []int
	// Stopped says that the search was stopped before its end; All holds what it
	// analysed, for MixSettings.Resume.
	Stopped bool
	All     []TriedMix
}

// TriedMix is a mix that was analysed.
type TriedMix struct {
	Layers []int
	Score  Score
	Length float64
}

// RankedMix is a mix with its worth.
type RankedMix struct {
	Layers []int
	Value  float64 // of the objective
	Score  Score
}

// rankedMost is how many of the best mixes are told.
const rankedMost = 6

// rank returns the best of the mixes analysed.
func (x *exchange) rank() []RankedMix {
	var out []RankedMix
	for _, t := range x.all {
		v := tried{t.Layers, t.Score, t.Length, 0}
		out = append(out, RankedMix{t.Layers, x.value(&v), t.Score})
	}
	slices.SortStableFunc(out, func(a, b RankedMix) int { return cmp.Compare(a.Value, b.Value) })
	return out[:min(len(out), rankedMost)]
}

// MixStep is one exchange that helped.
type MixStep struct {
	From, To []int // families that gave and took layers
	Value    float64
	Score    Score
}

// Reserve is the load at first failure over the required load.
func (m Mix) Reserve() float64 { return 1 / m.Score.Worst() }

// mixGain is the share by which a mix must beat the best so far, so that
// rounding does not decide.
const mixGain = 1e-6

// FindMix looks for the best numbers of layers by exchange: layers go from one
// family, or a pair of families that mirror each other, to another, whichever
// exchange helps most, until none does, from the given mix and from one of
// straight fibre in all directions offered; that need not be the best of all
// mixes. Each family is planned and, with Settings.Draw, drawn once; layers of
// a family are alike, so that a mix is a sum of what is known, and one analysis
// judges it. Plan the answer anew: a steered phase then fits the mix.
func FindMix(ctx context.Context, in Input, s Settings, m MixSettings) (*Mix, error) {
	s = s.withDefaults()
	if err := in.complete(); err != nil {
		return nil, err
	}
	if err := s.validate(&in); err != nil {
		return nil, err
	}
	m = m.withDefaults(len(s.Families))
	if len(m.Keep) != len(s.Families) {
		return nil, fmt.Errorf("%d families, but %d marks of which to keep", len(s.Families), len(m.Keep))
	}
	x := &exchange{ctx: ctx, in: &in, set: s, mix: m, judge: newJudge(&in, s), seen: map[string]tried{}}
	if err := x.makePlies(); err != nil {
		return nil, err
	}
	if m.Goal == BestRatio {
		if err := x.judgeEven(); err != nil {
			return nil, err
		}
	}
	for _, t := range m.Resume {
		x.remember(t)
	}
	return x.run()
}

func (m MixSettings) withDefaults(families int) MixSettings {
	if m.Keep == nil {
		m.Keep = make([]bool, families)
	}
	if m.NeedFibre == 0 {
		m.NeedFibre = 1
	}
	if m.NeedMatrix == 0 {
		m.NeedMatrix = 1
	}
	if m.Least == 0 {
		m.Least = 2
	}
	return m
}

// complete fills in what an input leaves to its system.
func (in *Input) complete() error {
	if in.Part == nil || in.System == nil || in.Stack.Law == nil {
		return errors.New("a plan needs a part, its system of equations and the law of its bead")
	}
	if in.Mesh == nil {
		in.Mesh = in.System.Mesh()
	}
	if in.Region.Outer == nil {
		in.Region = in.Part.Region
	}
	in.Stack.Warm = in.Part.Warms()
	return nil
}

// exchange is the state of a search.
type exchange struct {
	ctx   context.Context
	in    *Input
	set   Settings
	mix   MixSettings
	judge *judge
	plies []Ply // one or two of each family
	left  []int
	even  []ModeIndices // of quasi-isotropic fibre, per case; nil: not compared
	seen  map[string]tried
	all   []TriedMix
}

// tried is what became of a mix.
type tried struct {
	layers []int
	score  Score
	length float64
	value  float64
}

// makePlies plans every family and finds what one layer of each holds.
func (x *exchange) makePlies() error {
	l, err := x.planAll()
	if err != nil {
		return err
	}
	if x.set.Draw != nil {
		x.plies, err = x.set.Draw(x.ctx, l)
	} else {
		x.plies = l.plies(x.in)
	}
	if err != nil {
		return err
	}
	printed := make([]float64, len(l.Families))
	for _, y := range x.plies {
		printed[y.Family] = math.Max(printed[y.Family], y.Length)
	}
	for k := range l.Families {
		r := &x.set.Families[k]
		if wanted := l.Families[k].Length(); r.Layers == 0 && printed[k] < usefulShare*wanted {
			x.left = append(x.left, k)
		}
	}
	return nil
}

// usefulShare: a candidate of whose fibre less than this share can be printed
// would mostly be plastic; it does not enter.
const usefulShare = 0.1

// mainShare of the layers is given to a steered family while it is planned
// for the search; the rest stands in as fibre in all directions.
const mainShare = 0.6

// planAll returns a lay-up with two layers of each family, shifted against
// each other. Steered families are each fitted as the larger part of a
// laminate.
func (x *exchange) planAll() (*Layup, error) {
	total := 0
	for _, r := range x.set.Families {
		total += r.Layers
	}
	out := &Layup{Region: x.in.Region}
	for k, r := range x.set.Families {
		if err := x.ctx.Err(); err != nil {
			return nil, err
		}
		s := x.set
		s.Draw, s.Refine, s.Families = nil, Refine{}, []Request{r}
		s.Families[0].Layers = max(1, int(math.Round(mainShare*float64(total))))
		s.Families[0].Into = ""
		s.Even = max(0, total-s.Families[0].Layers)
		s.Progress = func(_ string, share float64) {
			x.set.Progress("families of the mix", 0.3*(float64(k)+share)/float64(len(x.set.Families)))
		}
		l, err := Plan(x.ctx, *x.in, s)
		if err != nil {
			return nil, err
		}
		out.Families = append(out.Families, l.Families[0])
		out.Layers = append(out.Layers, Layer{Family: k}, Layer{Family: k, Shift: 0.5})
	}
	out.unshiftDrawn()
	out.Locked = x.set.locks()
	return out, nil
}

// plies returns what the lay-up's families ask for, as planned.
func (l *Layup) plies(in *Input) []Ply {
	points := in.System.Points()
	var out []Ply
	for k := range l.Families {
		f := &l.Families[k]
		y := Ply{Family: k, Layers: 2, Rho: make([]float64, len(points)), Cos: make([]float64, len(points)), Sin: make([]float64, len(points)), Length: f.Length()}
		op := f.Operator(points)
		for i := range points {
			if b := f.FibreAt(op, i); b.Covered && b.Rho >= hiddenShare*in.Stack.Law.RhoMin() {
				y.Rho[i] = b.Rho
				y.Sin[i], y.Cos[i] = math.Sincos(b.Theta)
			}
		}
		out = append(out, y)
	}
	return out
}

// split shares the layers of each family out among its plies.
func (x *exchange) split(layers []int) []int {
	out := make([]int, len(x.plies))
	left := slices.Clone(layers)
	of := make([]int, len(layers))
	for _, y := range x.plies {
		of[y.Family]++
	}
	for i, y := range x.plies {
		out[i] = (left[y.Family] + of[y.Family] - 1) / of[y.Family]
		left[y.Family] -= out[i]
		of[y.Family]--
	}
	return out
}

// try judges a mix, or remembers what it was worth.
func (x *exchange) try(layers []int) (tried, error) {
	key := fmt.Sprint(layers)
	if t, ok := x.seen[key]; ok {
		return t, nil
	}
	split := x.split(layers)
	t := TriedMix{Layers: slices.Clone(layers)}
	for i, n := range split {
		t.Length += float64(n) * x.plies[i].Length
	}
	var err error
	if t.Score, err = x.judge.printed(x.ctx, x.plies, split); err != nil {
		return tried{}, err
	}
	return x.remember(t), nil
}

// remember keeps what a mix is worth.
func (x *exchange) remember(m TriedMix) tried {
	t := tried{m.Layers, m.Score, m.Length, 0}
	t.value = x.value(&t)
	x.seen[fmt.Sprint(m.Layers)] = t
	x.all = append(x.all, m)
	return t
}

// demand is the greatest index by what is required of it: above 1 a reserve is
// missed.
func (x *exchange) demand(s Score) float64 {
	return math.Max(x.mix.NeedFibre*math.Max(s.FT, math.Max(s.FC, s.Bearing)), x.mix.NeedMatrix*math.Max(s.M, s.Plastic))
}

const (
	// besideShare is what the other of fibre and matrix, and flexibility, count
	// beside the reserve that governs: enough to break ties and no more.
	besideShare = 0.05
	// shortCost of a demand that is missed, on the scale of logarithms.
	shortCost = 10.0
	// towCost of a tow length that is passed, for each share.
	towCost = 50.0
)

// value is what the search lowers.
func (x *exchange) value(t *tried) float64 {
	s := t.score
	demand := math.Log(math.Max(leastIndex, x.demand(s)))
	v := demand + besideShare*(math.Log(math.Max(leastIndex, math.Max(s.FT, s.FC)))+math.Log(math.Max(leastIndex, s.M))+s.Flexibility)
	switch x.mix.Goal {
	case BestStiffness:
		v = s.Flexibility + shortCost*math.Max(0, demand)
	case LeastTow:
		// Any mix that suffices is better than one that does not; more than one
		// layer's whole area cannot be strands of the least spacing.
		most := x.in.Region.Area() * x.in.Stack.Law.RhoMax() * float64(sum(t.layers))
		v = t.length / most
		if demand > 0 {
			v = 1 + demand
		}
	case BestRatio:
		v += x.lag(s) - demand
	}
	if x.mix.Tow > 0 {
		v += towCost * math.Max(0, t.length/x.mix.Tow-1)
	}
	return v
}
