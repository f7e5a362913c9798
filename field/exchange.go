package field

import (
	"fmt"
	"math"
	"slices"
)

// run exchanges layers as long as that helps, from the mix that is given and
// from one of straight fibre, and goes on with the better end: single exchanges
// do not always lead from the one to the other.
func (x *exchange) run() (*Mix, error) {
	var m *Mix
	var now tried
	for _, layers := range x.starts() {
		from, err := x.try(layers)
		if err != nil {
			return nil, err
		}
		way := &Mix{Left: x.left}
		end, err := x.climb(from, way)
		if err != nil {
			return nil, err
		}
		stopped := way.Stopped
		if m == nil || end.value < now.value-mixGain {
			now, m = end, way
		}
		if m.Stopped = stopped; stopped {
			break
		}
	}
	var err error
	if x.mix.Goal == FewestLayers && !m.Stopped {
		if now, err = x.thin(now, m); err != nil {
			return nil, err
		}
	}
	given, err := x.try(x.starts()[0])
	if err != nil {
		return nil, err
	}
	m.First, m.Best = given.value, x.rank()
	m.Layers, m.Score, m.Length, m.Tried, m.All = now.layers, now.score, now.length, len(x.all), x.all
	return m, nil
}

// starts lists the mixes that the search starts from: that given, and the same
// with the layers of families that may change shared out among the straight
// ones, where there are several.
func (x *exchange) starts() [][]int {
	given := make([]int, len(x.set.Families))
	for k, r := range x.set.Families {
		given[k] = r.Layers
	}
	straight := slices.DeleteFunc(x.takers(), func(k int) bool { return x.set.Families[k].Kind != Straight })
	spread, free := slices.Clone(given), 0
	for k := range given {
		if !x.mix.Keep[k] {
			spread[k], free = 0, free+given[k]
		}
	}
	if len(straight) < 2 || free == 0 {
		return [][]int{given}
	}
	for i := 0; free > 0; i++ {
		n := min(free, x.step())
		spread[straight[i%len(straight)]] += n
		free -= n
	}
	return [][]int{given, spread}
}

// climb makes the best exchange again and again until none helps.
func (x *exchange) climb(now tried, m *Mix) (tried, error) {
	for {
		best, move := now, move{}
		for _, v := range x.moves(now.layers) {
			if x.set.Stop() {
				m.Stopped = true
				return best, nil
			}
			t, err := x.try(v.apply(now.layers))
			if err != nil {
				return now, err
			}
			if t.value < best.value-mixGain {
				best, move = t, v
			}
		}
		if best.value >= now.value-mixGain {
			return now, nil
		}
		now = best
		m.Steps = append(m.Steps, MixStep{From: move.from, To: move.to, Value: now.value, Score: now.score})
		x.set.Progress(fmt.Sprintf("layer mix, objective %.4f", now.value), math.Min(0.95, 0.3+0.05*float64(len(m.Steps))))
	}
}

// thin takes layers out as long as what is required can still be met by some
// exchange of the rest.
func (x *exchange) thin(now tried, m *Mix) (tried, error) {
	if x.demand(now.score) > 1 {
		return now, nil // all layers together do not suffice
	}
	for {
		var best *tried
		var out []int
		for _, k := range x.givers(now.layers) {
			layers := slices.Clone(now.layers)
			layers[k] -= x.step()
			if sum(layers) < x.mix.Least {
				continue
			}
			t, err := x.try(layers)
			if err != nil {
				return now, err
			}
			if best == nil || t.value < best.value {
				best, out = &t, []int{k}
			}
		}
		if best == nil {
			return now, nil
		}
		next, err := x.climb(*best, m)
		if err != nil || x.demand(next.score) > 1 {
			return now, err
		}
		if m.Stopped {
			return next, nil
		}
		now = next
		m.Steps = append(m.Steps, MixStep{From: out, Value: now.value, Score: now.score})
	}
}

// step is how many layers move at a time.
func (x *exchange) step() int {
	if x.mix.Unsymmetric {
		return 1
	}
	return 2
}

// move takes layers from families and gives as many to others.
type move struct {
	from, to []int
	each     int // layers that one of from gives
}

func (v move) apply(layers []int) []int {
	out := slices.Clone(layers)
	for _, k := range v.from {
		out[k] -= v.each
	}
	for _, k := range v.to {
		out[k] += v.each * len(v.from) / len(v.to)
	}
	return out
}

// givers lists families with layers to give.
func (x *exchange) givers(layers []int) []int {
	var out []int
	for k, n := range layers {
		if n >= x.step() && !x.mix.Keep[k] {
			out = append(out, k)
		}
	}
	return out
}

// takers lists families that may take layers.
func (x *exchange) takers() []int {
	var out []int
	for k := range x.set.Families {
		if !x.mix.Keep[k] && x.set.Families[k].Into == "" && !slices.Contains(x.left, k) {
			out = append(out, k)
		}
	}
	return out
}

// moves lists the exchanges from a mix: one family to another, one to a pair
// that mirror each other, such a pair to one, and a pair to a pair.
func (x *exchange) moves(layers []int) []move {
	step := x.step()
	takers := x.takers()
	pairs := x.pairs(takers)
	var out []move
	for _, from := range x.givers(layers) {
		for _, to := range takers {
			if to != from {
				out = append(out, move{[]int{from}, []int{to}, step})
			}
		}
		if layers[from] < 2*step {
			continue
		}
		for _, p := range pairs {
			if p[0] != from && p[1] != from {
				out = append(out, move{[]int{from}, p[:], 2 * step})
			}
		}
	}
	for _, p := range pairs {
		if layers[p[0]] < step || layers[p[1]] < step {
			continue
		}
		for _, to := range takers {
			if to != p[0] && to != p[1] {
				out = append(out, move{p[:], []int{to}, step})
			}
		}
		for _, q := range pairs {
			if q != p {
				out = append(out, move{p[:], q[:], step})
			}
		}
	}
	return out
}

// mirrorTolerance, rad, within which two angles count as opposite.
const mirrorTolerance = 1e-6

// pairs lists straight families of opposite angles, whose layers together make
// no shear out of tension.
func (x *exchange) pairs(takers []int) [][2]int {
	var out [][2]int
	for i, a := range takers {
		for _, b := range takers[i+1:] {
			p, q := &x.set.Families[a], &x.set.Families[b]
			if p.Kind == Straight && q.Kind == Straight && math.Abs(math.Sin(p.Angle+q.Angle)) < mirrorTolerance && math.Abs(math.Sin(p.Angle-q.Angle)) > mirrorTolerance {
				out = append(out, [2]int{a, b})
			}
		}
	}
	return out
}

func sum(v []int) int {
	total := 0
	for _, n := range v {
		total += n
	}
	return total
}
