package geom

import (
	"math"
	"math/big"
)

// The predicates follow J. R. Shewchuk, Adaptive precision floating-point
// arithmetic and fast robust geometric predicates, Discrete & Computational
// Geometry 18 (1997) 305–363: the determinant in floating point, believed
// where it exceeds a bound on its own rounding, else worked out without error
// as an expansion. The bounds are his, with epsilon = 2^-53. Both need products
// that neither overflow nor underflow; coordinates too small or too large for
// that, which no drawing has, are left to rational numbers.
const (
	epsilon       = 1.0 / (1 << 53)
	orientBound   = (3 + 16*epsilon) * epsilon
	inCircleBound = (10 + 96*epsilon) * epsilon

	// safeSum is where the terms of a determinant are far enough from underflow
	// for the bounds to hold.
	safeSum = 1e-280
	// Products of four components between these sizes, and their rounding errors
	// (2^-53 four times), neither underflow nor overflow.
	leastComponent = 1e-60
	mostComponent  = 1e70
)

// Orient returns a number whose sign is exactly that of the area of the
// triangle a b c: positive when c lies left of the line from a to b, zero when
// on it, for any finite coordinates; NaN where one is none.
func Orient(a, b, c Point) float64 {
	l := (a.X - c.X) * (b.Y - c.Y)
	r := (a.Y - c.Y) * (b.X - c.X)
	det := l - r
	if size := math.Abs(l) + math.Abs(r); math.Abs(det) > orientBound*size && size > safeSum {
		return det
	}
	return orientExact(a, b, c)
}

func orientExact(a, b, c Point) float64 {
	ax, ay := difference(a.X, c.X), difference(a.Y, c.Y)
	bx, by := difference(b.X, c.X), difference(b.Y, c.Y)
	if !safe(ax, ay, bx, by) {
		return orientRational(a, b, c)
	}
	return sum(product(ax, by), negative(product(ay, bx))).sign()
}

// InCircle returns a number whose sign is exactly: positive when d lies inside
// the circle through a, b, c (counter-clockwise), negative outside, zero on
// it, for any finite coordinates; NaN where one is none.
func InCircle(a, b, c, d Point) float64 {
	adx, ady := a.X-d.X, a.Y-d.Y
	bdx, bdy := b.X-d.X, b.Y-d.Y
	cdx, cdy := c.X-d.X, c.Y-d.Y
	bc1, bc2 := bdx*cdy, cdx*bdy
	ca1, ca2 := cdx*ady, adx*cdy
	ab1, ab2 := adx*bdy, bdx*ady
	la, lb, lc := adx*adx+ady*ady, bdx*bdx+bdy*bdy, cdx*cdx+cdy*cdy
	det := la*(bc1-bc2) + lb*(ca1-ca2) + lc*(ab1-ab2)
	size := la*(math.Abs(bc1)+math.Abs(bc2)) + lb*(math.Abs(ca1)+math.Abs(ca2)) + lc*(math.Abs(ab1)+math.Abs(ab2))
	if math.Abs(det) > inCircleBound*size && size > safeSum {
		return det
	}
	return inCircleExact(a, b, c, d)
}

func inCircleExact(a, b, c, d Point) float64 {
	ax, ay := difference(a.X, d.X), difference(a.Y, d.Y)
	bx, by := difference(b.X, d.X), difference(b.Y, d.Y)
	cx, cy := difference(c.X, d.X), difference(c.Y, d.Y)
	if !safe(ax, ay, bx, by, cx, cy) {
		return inCircleRational(a, b, c, d)
	}
	term := func(lx, ly, px, py, qx, qy expansion) expansion {
		lift := sum(product(lx, lx), product(ly, ly))
		return product(lift, sum(product(px, qy), negative(product(qx, py))))
	}
	t := sum(term(ax, ay, bx, by, cx, cy), term(bx, by, cx, cy, ax, ay))
	return sum(t, term(cx, cy, ax, ay, bx, by)).sign()
}

// safe reports whether products of four components can be formed without loss.
func safe(list ...expansion) bool {
	for _, e := range list {
		for _, v := range e {
			if v := math.Abs(v); !(v >= leastComponent && v <= mostComponent) {
				return false
			}
		}
	}
	return true
}

// rational is the difference of two floats without error.
func rational(a, b float64) *big.Rat {
	return new(big.Rat).Sub(new(big.Rat).SetFloat64(a), new(big.Rat).SetFloat64(b))
}

// crossRational is ax·by − ay·bx.
func crossRational(ax, ay, bx, by *big.Rat) *big.Rat {
	l := new(big.Rat).Mul(ax, by)
	return l.Sub(l, new(big.Rat).Mul(ay, bx))
}

// allFinite reports whether the points have coordinates that are numbers.
func allFinite(points ...Point) bool {
	for _, p := range points {
		if !finite(p.X) || !finite(p.Y) {
			return false
		}
	}
	return true
}

func orientRational(a, b, c Point) float64 {
	if !allFinite(a, b, c) {
		return math.NaN()
	}
	return float64(crossRational(rational(a.X, c.X), rational(a.Y, c.Y), rational(b.X, c.X), rational(b.Y, c.Y)).Sign())
}

func inCircleRational(a, b, c, d Point) float64 {
	if !allFinite(a, b, c, d) {
		return math.NaN()
	}
	var x, y, lift [3]*big.Rat
	for i, p := range [3]Point{a, b, c} {
		x[i], y[i] = rational(p.X, d.X), rational(p.Y, d.Y)
		lift[i] = new(big.Rat).Add(new(big.Rat).Mul(x[i], x[i]), new(big.Rat).Mul(y[i], y[i]))
	}
	det := new(big.Rat)
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		det.Add(det, new(big.Rat).Mul(lift[i], crossRational(x[j], y[j], x[k], y[k])))
	}
	return float64(det.Sign())
}

// An expansion is an unevaluated sum of floats that do not overlap, smallest
// first, zeros left out.
type expansion []float64

// sign returns the largest component, which has the sign of the sum.
func (e expansion) sign() float64 {
	if len(e) == 0 {
		return 0
	}
	return e[len(e)-1]
}

// twoSum returns the rounded sum and its rounding error.
func twoSum(a, b float64) (s, err float64) {
	s = a + b
	bb := s - a
	return s, (a - (s - bb)) + (b - bb)
}

func difference(a, b float64) expansion {
	s, err := twoSum(a, -b)
	return expansion{}.plus(err).plus(s)
}

// plus appends a component unless it is zero.
func (e expansion) plus(v float64) expansion {
	if v == 0 {
		return e
	}
	return append(e, v)
}

func negative(e expansion) expansion {
	n := make(expansion, len(e))
	for i, v := range e {
		n[i] = -v
	}
	return n
}

// sum adds two expansions: each component of f is grown into e.
func sum(e, f expansion) expansion {
	out := append(make(expansion, 0, len(e)+len(f)), e...)
	for _, b := range f {
		q := b
		k := 0
		for _, v := range out {
			var err float64
			q, err = twoSum(q, v)
			if err != 0 {
				out[k] = err
				k++
			}
		}
		out = out[:k].plus(q)
	}
	return out
}

// product multiplies two expansions component by component.
func product(e, f expansion) expansion {
	var out expansion
	for _, a := range e {
		for _, b := range f {
			p := a * b
			out = sum(out, expansion{}.plus(math.FMA(a, b, -p)).plus(p))
		}
	}
	return out
}
