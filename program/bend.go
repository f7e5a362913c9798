package program

import (
	"math"

	"sinew/geom"
)

// bendReach, mm of path to either side, is the window in which the bend at a
// point is judged: longer than the sampling, short against what a tow follows.
const bendReach = 1.0

// bends holds room for the bend radii of one path after the other.
type bends struct{ along, out []float64 }

// radii returns the bend radius at each point of a path: that of the circle
// through it and the points bendReach before and after, infinite where these
// lie in line or beyond the ends. The result is valid until the next call.
func (b *bends) radii(p []geom.Point) []float64 {
	s, out := resized(&b.along, len(p)), resized(&b.out, len(p))
	if len(p) > 0 {
		s[0] = 0
	}
	for i := 1; i < len(p); i++ {
		s[i] = s[i-1] + p[i].Dist(p[i-1])
	}
	lo, hi := 0, 0
	for i := range p {
		out[i] = math.Inf(1)
		back, ahead := s[i]-bendReach, s[i]+bendReach
		if back < 0 || ahead > s[len(s)-1] {
			continue
		}
		for s[lo+1] < back {
			lo++
		}
		for s[hi] < ahead {
			hi++
		}
		before := p[lo].Lerp(p[lo+1], (back-s[lo])/(s[lo+1]-s[lo]))
		after := p[hi]
		if hi > 0 && s[hi] > s[hi-1] {
			after = p[hi-1].Lerp(p[hi], (ahead-s[hi-1])/(s[hi]-s[hi-1]))
		}
		out[i] = circleRadius(before, p[i], after)
	}
	return out
}

func circleRadius(a, b, c geom.Point) float64 {
	u, v, x := b.Sub(a), c.Sub(b), c.Sub(a)
	return u.Norm() * v.Norm() * x.Norm() / (2 * math.Abs(u.Cross(v)))
}

func resized(buf *[]float64, n int) []float64 {
	if cap(*buf) < n {
		*buf = make([]float64, 2*n)
	}
	return (*buf)[:n]
}
