package field

import (
	"math"

	"sinew/geom"
)

// defaultRadius of the tow, mm, where its card gives none: common practice.
const defaultTowRadius = 5.0

// tightShare is the share of the area in which strands would bend below the
// tow's least radius: |κ| > 1/R, with
//
//	κ = (φy²·φxx - 2·φx·φy·φxy + φx²·φyy)/|∇φ|³
//
// the curvature of the level lines. Where fewer strands run than the printer's
// greatest spacing means, none is laid and none bends.
func (f *fitter) tightShare(slope []geom.Point) float64 {
	radius := f.in.Stack.Law.Tow().MinRadius
	if !(radius > 0) {
		radius = defaultTowRadius
	}
	least := hiddenShare * f.in.Stack.Law.RhoMin()
	tight := 0.0
	for t := range f.space.m.Tris {
		p := perTri * t
		xx, xy, yy := f.hessian(p, slope)
		for q := p; q < p+perTri; q++ {
			g := slope[q]
			n := g.Norm()
			if n < least {
				continue
			}
			k := (g.Y*g.Y*xx - 2*g.X*g.Y*xy + g.X*g.X*yy) / (n * n * n)
			if math.Abs(k)*radius > 1 {
				tight += f.space.weight[q]
			}
		}
	}
	return tight / f.space.area()
}

// hessian is the second derivative of the phase in the element whose first
// integration point is p: its gradient is linear there but for bent sides.
func (f *fitter) hessian(p int, slope []geom.Point) (xx, xy, yy float64) {
	u, v := f.space.at[p+1].Sub(f.space.at[p]), f.space.at[p+2].Sub(f.space.at[p])
	a, b := slope[p+1].Sub(slope[p]), slope[p+2].Sub(slope[p])
	det := u.Cross(v)
	xx = (a.X*v.Y - b.X*u.Y) / det
	yy = (b.Y*u.X - a.Y*v.X) / det
	xy = ((b.X*u.X - a.X*v.X) + (a.Y*v.Y - b.Y*u.Y)) / (2 * det)
	return xx, xy, yy
}
