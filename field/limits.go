package field

import (
	"math"

	"sinew/geom"
)

// limits are the costs that keep a refined phase printable and calm. Each is
// zero where its limit holds and grows with the square of what exceeds it:
//
//	packing     mean of max(0, ρ/(0.95·ρ_max) - 1)²
//	bend        mean of max(0, R|κ| - 1)², R the tow's least radius with margin
//	turning     max(0, T/T₀ - 1.2)², T = ∫ρ|κ|, T₀ of the least-squares answer
//	length      max(0, L/L₀ - 1)² + max(0, 0.97 - L/L₀)²
//	locked      mean of the square of what crosses a locked strand (lock.cost)
//
// T is the angle through which the family's strands turn in all: by the
// co-area formula the sum over level lines of ∫|κ|ds is ∫|κ||∇φ|dA. Strands
// that weave to soften a region turn without end, so that this limit forbids
// it whatever the pitch.
type limits struct {
	s       *space
	f       *fitter
	rhoMax  float64
	rhoFade float64 // below this density curvature fades out
	radius  float64
	length  float64 // L₀
	turning float64 // T₀
	area    float64
	lock    *lock // of strands laid as given in the family's layers
}

const (
	packCost    = 2000.0
	bendCost    = 60.0
	turnCost    = 60.0
	lengthCost  = 3000.0
	turnMost    = 1.2  // of the least-squares answer; 1.5 is the limit as printed
	lengthLeast = 0.97 // of what is asked
	bendMargin  = 1.25 // drawn strands bend more than the smooth phase, where they are whole at the edges
	// leastTurning, rad per mm² of area: a family of straight strands may turn
	// this much.
	leastTurning = 1e-3
	// sharpest, 1/mm: curvature below it turns smoothly into its size.
	sharpest = 1e-3
)

func (f *fitter) newLimits(phase []float64, length float64) *limits {
	radius := f.in.Stack.Law.Tow().MinRadius
	if !(radius > 0) {
		radius = defaultTowRadius
	}
	l := &limits{s: f.space, f: f, rhoMax: packedShare * f.in.Stack.Law.RhoMax(), rhoFade: f.in.Stack.Law.RhoMin() / 2, radius: bendMargin * radius, length: length, area: f.space.area()}
	l.turning = math.Max(l.totalTurning(f.space.gradients(phase)), leastTurning*l.area)
	return l
}

// totalTurning is T.
func (l *limits) totalTurning(slope []geom.Point) float64 {
	sum := 0.0
	for t := range l.s.m.Tris {
		p := perTri * t
		xx, xy, yy := l.f.hessian(p, slope)
		for q := p; q < p+perTri; q++ {
			b := l.bendAt(slope[q], xx, xy, yy)
			sum += l.s.weight[q] * b.turn
		}
	}
	return sum
}

// bend holds curvature at a point: that of the level line, faded where there
// is no strand, and the turning of strands per area, with what both depend on.
type bend struct {
	num, m      float64 // κ = num/m³, m² = |g|² + fade²
	kappa, turn float64
}

func (l *limits) bendAt(g geom.Point, xx, xy, yy float64) bend {
	m2 := g.Dot(g) + l.rhoFade*l.rhoFade
	m := math.Sqrt(m2)
	num := g.Y*g.Y*xx - 2*g.X*g.Y*xy + g.X*g.X*yy
	k := num / (m2 * m)
	return bend{num, m, k, m * (math.Hypot(k, sharpest) - sharpest)}
}

// cost returns the sum of costs, and adds its derivative by the nodal phases
// to grad unless that is nil.
func (l *limits) cost(phase, grad []float64) float64 {
	slope := l.s.gradients(phase)
	length, turning := l.s.length(slope), l.totalTurning(slope)
	over, short := math.Max(0, length/l.length-1), math.Max(0, lengthLeast-length/l.length)
	turned := math.Max(0, turning/l.turning-turnMost)
	sum := lengthCost*(over*over+short*short) + turnCost*turned*turned
	byLength := 2 * lengthCost * (over - short) / l.length
	byTurning := 2 * turnCost * turned / l.turning
	for t := range l.s.m.Tris {
		sum += l.elementCost(t, slope, byLength, byTurning, grad)
	}
	return sum
}

// elementCost is the cost of packing, bending and crossing of an element; with grad it
// adds the derivatives of all costs by the element's nodes.
func (l *limits) elementCost(t int, slope []geom.Point, byLength, byTurning float64, grad []float64) float64 {
	p := perTri * t
	xx, xy, yy := l.f.hessian(p, slope)
	sum := 0.0
	var bySlope [perTri]geom.Point
	var byHessian [3]float64
	for k := range perTri {
		q := p + k
		g, w := slope[q], l.s.weight[q]
		n := g.Norm()
		over := math.Max(0, n/l.rhoMax-1)
		b := l.bendAt(g, xx, xy, yy)
		tight := math.Max(0, l.radius*math.Abs(b.kappa)-1)
		crossed, byCrossing := l.lock.cost(q, g)
		sum += w/l.area*(packCost*over*over+bendCost*tight*tight) + crossed
		if grad == nil {
			continue
		}
		byNorm := w * (byLength + 2*packCost*over/l.rhoMax/l.area)
		byKappa := w / l.area * 2 * bendCost * tight * l.radius * math.Copysign(1, b.kappa)
		root := math.Hypot(b.kappa, sharpest)
		byKappa += w * byTurning * b.m * b.kappa / root
		byM := w * byTurning * (root - sharpest)
		// κ = num/m³: through num to the gradient and the Hessian, through m to
		// the gradient alone.
		m3 := b.m * b.m * b.m
		byNum := byKappa / m3
		byM -= 3 * byKappa * b.kappa / b.m
		d := g.Scale(byM / b.m).Add(byCrossing)
		if n > 0 {
			d = d.Add(g.Scale(byNorm / n))
		}
		d.X += byNum * 2 * (g.X*yy - g.Y*xy)
		d.Y += byNum * 2 * (g.Y*xx - g.X*xy)
		bySlope[k] = d
		byHessian[0] += byNum * g.Y * g.Y
		byHessian[1] -= byNum * 2 * g.X * g.Y
		byHessian[2] += byNum * g.X * g.X
	}
	if grad != nil {
		l.toNodes(t, bySlope, byHessian, grad)
	}
	return sum
}

// toNodes carries derivatives by an element's gradients and Hessian on to its
// nodes; it is the transpose of gradients and hessian.
func (l *limits) toNodes(t int, bySlope [perTri]geom.Point, byHessian [3]float64, grad []float64) {
	p := perTri * t
	u, v := l.s.at[p+1].Sub(l.s.at[p]), l.s.at[p+2].Sub(l.s.at[p])
	det := u.Cross(v)
	hx, hm, hy := byHessian[0]/det, byHessian[1]/(2*det), byHessian[2]/det
	// xx = (a.X·v.Y - b.X·u.Y)/det, yy = (b.Y·u.X - a.Y·v.X)/det,
	// xy = (b.X·u.X - a.X·v.X + a.Y·v.Y - b.Y·u.Y)/(2·det)
	a := geom.Point{X: hx*v.Y - hm*v.X, Y: -hy*v.X + hm*v.Y}
	b := geom.Point{X: -hx*u.Y + hm*u.X, Y: hy*u.X - hm*u.Y}
	bySlope[1] = bySlope[1].Add(a)
	bySlope[2] = bySlope[2].Add(b)
	bySlope[0] = bySlope[0].Sub(a).Sub(b)
	for k := range perTri {
		for i, n := range l.s.m.Tris[t] {
			grad[n] += l.s.grad[p+k][i].Dot(bySlope[k])
		}
	}
}
