package field

import (
	"math"

	"sinew/geom"
	"sinew/internal/work"
)

// goal is what the phase's gradient should be, at the mesh's own integration
// points: a gradient and a weight.
type goal struct {
	g      []geom.Point
	weight []float64
}

// tensor is weight·(t tᵀ + m·n nᵀ), t along the wanted fibre and n across.
func (o *goal) tensor(q int, pack float64) tensor {
	n := o.g[q].Scale(1 / o.g[q].Norm())
	w, m := o.weight[q], acrossWeight*pack
	return tensor{w * (n.Y*n.Y + m*n.X*n.X), w * (m - 1) * n.X * n.Y, w * (n.X*n.X + m*n.Y*n.Y)}
}

// flux is the tensor times the wanted gradient, which has no part along t.
func (o *goal) flux(pack []float64) []geom.Point {
	out := make([]geom.Point, len(o.g))
	for q, g := range o.g {
		out[q] = g.Scale(o.weight[q] * acrossWeight * pack[q])
	}
	return out
}

// aim turns the stress of all cases into a goal. q gives the layer by which
// strain at a point of the system becomes this family's stress.
func (a *attempt) aim(q func(point int) elastic) (goal, error) {
	n := len(a.f.in.System.Points())
	var v [3][]float64
	for k := range v {
		v[k] = make([]float64, n)
	}
	work.Share(n, a.lane.workers, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if a.f.op.Covers(i, nil) {
				v[0][i], v[1][i], v[2][i] = a.asked(i, q(i))
			}
		}
	})
	s, err := a.smoothed(v, a.variant.smoothing)
	if err != nil {
		return goal{}, err
	}
	return a.toGoal(s), nil
}

// asked is the double-angle vector that all cases ask for at a point of the
// system, and the worth of the best direction, for a family of such layers.
func (a *attempt) asked(i int, q elastic) (x, y, worth float64) {
	ref := a.guess.at[i]
	sin, cos := math.Sincos(2 * math.Atan2(ref.X, -ref.Y))
	for c := range a.sol.Cases {
		cx, cy, w := a.pullOf(q.stress(a.sol.Cases[c].Strain[i], a.f.judge.warmAt(c, i)), cos, sin)
		s := a.scales[c]
		x, y, worth = x+s*cx, y+s*cy, max(worth, s*w)
	}
	keep := (a.guess.pull[i] + a.variant.keep) * worth
	return x + keep*cos, y + keep*sin, worth
}

// pullOf is the double-angle vector of the direction that a stress asks for,
// its size the difference in worth of the principal directions, and the worth
// of the better one. refCos and refSin are of twice the reference's angle.
func (a *attempt) pullOf(t [3]float64, refCos, refSin float64) (x, y, worth float64) {
	mid, half := (t[0]+t[1])/2, (t[0]-t[1])/2
	r := math.Hypot(half, t[2])
	value := func(s float64) float64 {
		if s > 0 {
			return s
		}
		return -a.variant.compression * s
	}
	a1, a2 := value(mid+r), value(mid-r)
	cos, sin := 1.0, 0.0
	if r > 0 {
		cos, sin = half/r, t[2]/r
	}
	if !a.variant.nearest {
		return (a1 - a2) * cos, (a1 - a2) * sin, max(a1, a2)
	}
	// Never more than 45° off the reference; half-heartedly where in doubt.
	q := cos*refCos + sin*refSin
	if q < 0 {
		a1, cos, sin = a2, -cos, -sin
	}
	k := a1 * min(1, 4*math.Abs(q))
	return k * cos, k * sin, a1
}

// smoothed returns the fields, given at the system's points, at the mesh's own
// integration points after smoothing: (M + r²K)·x = ∫ N·v.
func (a *attempt) smoothed(v [3][]float64, r float64) ([3][]float64, error) {
	f := a.f
	var out [3][]float64
	n := len(f.space.m.Nodes)
	x := make([]float64, 3*n)
	for i, w := range f.in.System.Weights() {
		t := f.op.tri[i]
		if t < 0 {
			continue
		}
		for k, node := range f.space.m.Tris[t] {
			for j := range v {
				x[j*n+int(node)] += w * f.op.n[i][k] * v[j][i]
			}
		}
	}
	if err := f.smooth(r, x); err != nil {
		return out, err
	}
	work.Each(len(out), a.lane.workers, func(j int) { out[j] = f.space.values(x[j*n : (j+1)*n]) })
	return out, nil
}

// toGoal turns smoothed double-angle vectors and worths into gradients.
func (a *attempt) toGoal(s [3][]float64) goal {
	f := a.f
	mean := 0.0
	for q, w := range f.space.weight {
		mean += w * math.Abs(s[2][q])
	}
	mean /= f.space.area()
	worth := s[2]
	for q := range worth {
		worth[q] = max(worth[q], leastWorth*mean)
	}
	rho := f.density(worth, a.length)
	limit := packedShare * f.in.Stack.Law.RhoMax()
	o := goal{make([]geom.Point, len(worth)), make([]float64, len(worth))}
	work.Share(len(worth), a.lane.workers, func(lo, hi int) {
		for q := lo; q < hi; q++ {
			x, y := a.lock.turn(q, s[0][q], s[1][q], worth[q])
			sin, cos := math.Sincos(math.Atan2(y, x) / 2)
			g := geom.Point{X: sin, Y: -cos}.Scale(rho[q])
			if g.Dot(a.guess.slope[q]) < 0 {
				g = g.Scale(-1)
			}
			if a.slope != nil {
				if h := g.Add(a.slope[q]).Scale(0.5); h.Norm() > leastSlope {
					g = h
				}
			}
			if n := g.Norm(); n > limit {
				g = g.Scale(limit / n)
			}
			coherence := min(1, math.Hypot(x, y)/worth[q])
			o.g[q], o.weight[q] = g, a.lock.weigh(q, worth[q]/mean*coherence+leastWeight)
		}
	})
	return o
}

// density is clip(k·worth) between the printer's limits, k such that its
// integral is the wanted length.
func (f *fitter) density(worth []float64, length float64) []float64 {
	lo, hi := f.in.Stack.Law.RhoMin(), packedShare*f.in.Stack.Law.RhoMax()
	total := func(k float64) float64 {
		sum := 0.0
		for q, w := range f.space.weight {
			sum += w * max(lo, min(hi, k*worth[q]))
		}
		return sum
	}
	least, most := 0.0, 1.0
	if top := maximum(worth); top > 0 {
		most = hi / top
	}
	for range 200 { // doubles cover any range of worths
		if total(most) >= length || most > 1e300 {
			break
		}
		most *= 2
		if total(most) >= hi*f.space.area()*(1-1e-12) {
			break
		}
	}
	for range 60 {
		if k := (least + most) / 2; total(k) < length {
			least = k
		} else {
			most = k
		}
	}
	rho := make([]float64, len(worth))
	for q, v := range worth {
		rho[q] = max(lo, min(hi, most*v))
	}
	return rho
}
