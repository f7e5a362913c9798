package field

import (
	"math"

	"sinew/geom"
	"sinew/material"
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

// aim turns the stress of all cases into a goal. q gives the stiffness by which
// strain at a point of the system becomes this family's stress.
func (a *attempt) aim(q func(point int) material.Stiffness) (goal, error) {
	n := len(a.f.in.System.Points())
	var v [3][]float64
	for k := range v {
		v[k] = make([]float64, n)
	}
	for i := range n {
		if !a.f.op.Covers(i, nil) {
			continue
		}
		k := q(i)
		x, y, worth := 0.0, 0.0, 0.0
		ref := a.guess.at[i]
		phi2 := 2 * math.Atan2(ref.X, -ref.Y)
		for c := range a.sol.Cases {
			cx, cy, w := a.pullOf(k.Mul(a.sol.Cases[c].Strain[i]), phi2)
			s := a.scales[c]
			x, y, worth = x+s*cx, y+s*cy, math.Max(worth, s*w)
		}
		keep := (a.guess.pull[i] + a.variant.keep) * worth
		sin, cos := math.Sincos(phi2)
		v[0][i], v[1][i], v[2][i] = x+keep*cos, y+keep*sin, worth
	}
	s, err := a.smoothed(v, a.variant.smoothing)
	if err != nil {
		return goal{}, err
	}
	return a.toGoal(s), nil
}

// pullOf is the double-angle vector of the direction that a stress asks for,
// its size the difference in worth of the principal directions, and the worth
// of the better one.
func (a *attempt) pullOf(t [3]float64, ref2 float64) (x, y, worth float64) {
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
		return (a1 - a2) * cos, (a1 - a2) * sin, math.Max(a1, a2)
	}
	// Never more than 45° off the reference; half-heartedly where in doubt.
	rs, rc := math.Sincos(ref2)
	q := cos*rc + sin*rs
	if q < 0 {
		a1, cos, sin = a2, -cos, -sin
	}
	k := a1 * math.Min(1, 4*math.Abs(q))
	return k * cos, k * sin, a1
}

// smoothed returns the fields, given at the system's points, at the mesh's own
// integration points after smoothing: (M + r²K)·x = ∫ N·v.
func (a *attempt) smoothed(v [3][]float64, r float64) ([3][]float64, error) {
	f := a.f
	var out [3][]float64
	p, err := a.lane.smoother(f, r)
	if err != nil {
		return out, err
	}
	n := p.u.n
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
	p.fac.Solve(x, 3)
	for j := range out {
		out[j] = make([]float64, len(f.space.weight))
		for q := range out[j] {
			for k, node := range f.space.m.Tris[q/perTri] {
				out[j][q] += f.space.shape[q%perTri][k] * x[j*n+int(node)]
			}
		}
	}
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
		worth[q] = math.Max(worth[q], leastWorth*mean)
	}
	rho := f.density(worth, a.length)
	limit := packedShare * f.in.Stack.Law.RhoMax()
	o := goal{make([]geom.Point, len(worth)), make([]float64, len(worth))}
	for q := range worth {
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
		coherence := math.Min(1, math.Hypot(x, y)/worth[q])
		o.g[q], o.weight[q] = g, a.lock.weigh(q, worth[q]/mean*coherence+leastWeight)
	}
	return o
}

// density is clip(k·worth) between the printer's limits, k such that its
// integral is the wanted length.
func (f *fitter) density(worth []float64, length float64) []float64 {
	lo, hi := f.in.Stack.Law.RhoMin(), packedShare*f.in.Stack.Law.RhoMax()
	total := func(k float64) float64 {
		sum := 0.0
		for q, w := range f.space.weight {
			sum += w * math.Max(lo, math.Min(hi, k*worth[q]))
		}
		return sum
	}
	least, most := 0.0, 1.0
	top := 0.0
	for _, v := range worth {
		top = math.Max(top, v)
	}
	if top > 0 {
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
		rho[q] = math.Max(lo, math.Min(hi, most*v))
	}
	return rho
}
