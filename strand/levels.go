package strand

import (
	"math"
	"slices"

	"sinew/field"
)

// levelFit bounds the choice of levels between two edges that no strand may
// cut.
const (
	// sameEdge is the difference of phase below which two tied edges count as
	// one: no strand fits between them.
	sameEdge = 0.5
	// roundUp is how much of a spacing may be missing before a strand is left
	// out: a band of 16.8 spacings takes 17 strands at 0.99 of the spacing each.
	roundUp = 0.25
	// shiftSlope is the greatest change of spacing, as a share, by which the
	// shift of a layer fades towards edges that no strand may cut.
	shiftSlope = 0.08
)

// levels returns the phases of the strands of one layer, rising.
//
// A family that states its levels keeps them. Without tied edges they are the integers + 1/2 + shift. Between two tied
// edges, whose phases need not differ by a whole number, as many strands as
// there are spacings lie evenly, half a spacing off the edges. A shift must
// not push a strand onto a tied edge, so that it fades towards them, no faster
// than shiftSlope allows.
func levels(f *field.Family, shift float64) []float64 {
	if f.Levels != nil {
		return slices.Clone(f.Levels)
	}
	lo, hi := phaseRange(f)
	tied := tiedPhases(f)
	var out []float64
	if len(tied) == 0 {
		for v := math.Floor(lo) - 0.5 + shift; v < hi; v++ {
			if v > lo {
				out = append(out, v)
			}
		}
		return out
	}
	out = append(out, outward(tied[0], lo, shift, -1)...)
	for i := 1; i < len(tied); i++ {
		out = append(out, between(tied[i-1], tied[i], shift)...)
	}
	out = append(out, outward(tied[len(tied)-1], hi, shift, 1)...)
	out = withinTurns(out, tied, f.Turns)
	slices.Sort(out)
	return out
}

// phaseRange returns the least and the greatest phase of the active elements.
func phaseRange(f *field.Family) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for t, tri := range f.Mesh.Tris {
		if f.Active != nil && !f.Active[t] {
			continue
		}
		for _, n := range tri {
			lo, hi = math.Min(lo, f.Phase[n]), math.Max(hi, f.Phase[n])
		}
	}
	return lo, hi
}

// tiedPhases returns the phases of the tied edges, rising, those closer than
// sameEdge joined to their mean: as the family states them, else those of the
// mesh on its tied loops.
func tiedPhases(f *field.Family) []float64 {
	all := slices.Clone(f.TiedPhases)
	if all == nil {
		all = loopPhases(f)
	}
	slices.Sort(all)
	var out []float64
	for i := 0; i < len(all); {
		j, total := i, 0.0
		for j < len(all) && all[j]-all[i] < sameEdge {
			total += all[j]
			j++
		}
		out = append(out, total/float64(j-i))
		i = j
	}
	return out
}

// loopPhases returns the mean phase of each tied loop.
func loopPhases(f *field.Family) []float64 {
	sum, count := map[int32]float64{}, map[int32]int{}
	for _, e := range f.Mesh.Boundary {
		for _, n := range [3]int32{e.A, e.B, e.Mid} {
			sum[e.Loop] += f.Phase[n]
			count[e.Loop]++
		}
	}
	var all []float64
	for _, l := range f.TiedLoops {
		if n := count[int32(l)]; n > 0 {
			all = append(all, sum[int32(l)]/float64(n))
		}
	}
	return all
}

// between returns the levels between the phases a < b of two tied edges.
func between(a, b, shift float64) []float64 {
	n := int(math.Floor(b - a + roundUp))
	if n < 1 {
		return nil
	}
	pitch := (b - a) / float64(n)
	top := math.Min(math.Abs(shift), shiftSlope*float64(n)/2)
	out := make([]float64, n)
	for i := range out {
		u := float64(i) + 0.5
		fade := math.Min(u, float64(n)-u) / (float64(n) / 2) // 0 at the edges, 1 midway
		out[i] = a + pitch*(u+math.Copysign(top, shift)*fade)
	}
	return out
}

// outward returns the levels from a tied edge's phase to the end of the range
// on the side given by sign; the shift widens the spacings until it is reached.
func outward(from, end, shift, sign float64) []float64 {
	var out []float64
	for u := 0.5; u < sign*(end-from)+1; u++ {
		v := from + sign*(u+math.Min(math.Abs(shift), shiftSlope*(u-0.5)))
		if sign*(end-v) <= 0 {
			break
		}
		out = append(out, v)
	}
	return out
}

// withinTurns keeps the levels no farther than the wanted number of turns from
// a tied edge; all when no number is given.
func withinTurns(levels, tied []float64, turns int) []float64 {
	if turns <= 0 {
		return levels
	}
	return slices.DeleteFunc(levels, func(v float64) bool {
		return !slices.ContainsFunc(tied, func(t float64) bool { return math.Abs(v-t) < float64(turns) })
	})
}
