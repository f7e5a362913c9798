package field

import (
	"fmt"
	"math"
)

// ribs is a family of straight ribs at an angle: the linear phase of a straight
// family, of which only the strands of the ribs are laid.
func (p *planner) ribs(r *Request) (Family, error) {
	out := p.straight(r)
	out.Kind = Rib
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range out.Phase {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	n := max(1, int(math.Round((hi-lo)*r.Spacing/r.Pitch)))
	counts := make([]int, n)
	for i := range counts {
		counts[i] = max(1, r.Bundle)
	}
	if r.ByLoad {
		var err error
		if counts, err = p.ribsByLoad(r, out.Phase, lo, hi, counts); err != nil {
			return out, err
		}
	}
	pitch := (hi - lo) / float64(n)
	for i, c := range counts {
		mid := lo + (float64(i)+0.5)*pitch
		for k := range c {
			out.Levels = append(out.Levels, mid+float64(k)-float64(c-1)/2)
		}
	}
	return out, nil
}

// ribsByLoad shares the strands of all ribs out by the mean force along each in
// a plate of even material, the greatest of all cases. A rib keeps one strand
// and takes no more than lie between it and its neighbours.
func (p *planner) ribsByLoad(r *Request, phase []float64, lo, hi float64, counts []int) ([]int, error) {
	even, _ := p.even(p.all(), 1/r.Spacing)
	sol, err := p.in.System.Respond(p.ctx, even)
	if err != nil {
		return nil, err
	}
	whole := elastic{q: even.A[0]}
	if even.Thermal != nil {
		whole.heat = even.Thermal[0]
	}
	n := len(counts)
	force := make([]float64, n)
	sin, cos := math.Sincos(r.Angle)
	weights := p.in.System.Weights()
	for c := range sol.Cases {
		sum := make([]float64, n)
		for i, e := range sol.Cases[c].Strain {
			if p.op.tri[i] < 0 {
				continue
			}
			k := int(float64(n) * (p.op.value(i, phase) - lo) / (hi - lo))
			s := whole.stress(e, p.judge.warmAt(c, i))
			sum[min(max(k, 0), n-1)] += weights[i] * math.Abs(s[0]*cos*cos+s[1]*sin*sin+2*s[2]*sin*cos)
		}
		for k := range force {
			force[k] = math.Max(force[k], sum[k])
		}
	}
	return shareOut(force, counts[0]*n, int(r.Pitch/r.Spacing)), nil
}

// all is the number of layers of all families asked for.
func (p *planner) all() int {
	n := 0
	for _, r := range p.set.Families {
		n += r.Layers
	}
	return n
}

// shareOut deals total whole parts out in proportion to the weights, at least
// one and at most most to each, the largest lag first.
func shareOut(weights []float64, total, most int) []int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	out := make([]int, len(weights))
	for i := range out {
		out[i] = 1
	}
	for range total - len(out) {
		best, lag := -1, math.Inf(-1)
		for i, w := range weights {
			if v := w/math.Max(sum, math.SmallestNonzeroFloat64)*float64(total) - float64(out[i]); out[i] < most && v > lag {
				best, lag = i, v
			}
		}
		if best < 0 {
			break
		}
		out[best]++
	}
	return out
}

// nearLevel reports whether a phase lies within half a strand of a level.
func (f *Family) nearLevel(phase float64) bool {
	for _, v := range f.Levels {
		if math.Abs(phase-v) <= 0.5 {
			return true
		}
	}
	return false
}

// value returns the phase at point i, zero outside.
func (g *Gradient) value(i int, phase []float64) float64 {
	v := 0.0
	if g.tri[i] < 0 {
		return v
	}
	for k, n := range g.mesh.Tris[g.tri[i]] {
		v += g.n[i][k] * phase[n]
	}
	return v
}

// valueAt returns a nodal field at an integration point.
func (s *space) valueAt(point int, phase []float64) float64 {
	v := 0.0
	for k, n := range s.m.Tris[point/perTri] {
		v += s.shape[point%perTri][k] * phase[n]
	}
	return v
}

// validateRibs says what is wrong with a request for ribs.
func (r *Request) validateRibs(who string) error {
	switch {
	case r.Kind != Rib && (r.Pitch != 0 || r.Bundle != 0 || r.ByLoad):
		return fmt.Errorf("%s: pitch and bundle belong to ribs", who)
	case r.Kind == Rib && !(r.Pitch >= float64(max(1, r.Bundle))*r.Spacing):
		return fmt.Errorf("%s: ribs of %d strands %.4g mm apart do not fit a pitch of %.4g mm; widen it", who, max(1, r.Bundle), r.Spacing, r.Pitch)
	}
	return nil
}

// shifts reports whether the strands of the family's layers may lie shifted
// against each other.
func (f *Family) shifts() bool {
	return f.Mirrored != nil || f.Paths == nil && f.Levels == nil && f.Kind != Plain
}
