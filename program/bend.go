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
// lie in line. Points nearer than that to an end take the radius of the first
// or last two reaches of path, so that no rounding decides whether a bend
// counts. A path shorter than that is straight. The result is valid until the
// next call.
func (b *bends) radii(p []geom.Point) []float64 {
	s, out := resized(&b.along, len(p)), resized(&b.out, len(p))
	if len(p) > 0 {
		s[0] = 0
	}
	for i := 1; i < len(p); i++ {
		s[i] = s[i-1] + dist(p[i], p[i-1])
	}
	lo, hi := 0, 0
	for i := range p {
		end := s[len(s)-1]
		if end < 2*bendReach {
			out[i] = math.Inf(1)
			continue
		}
		mid := p[i]
		at := max(bendReach, min(s[i], end-bendReach))
		if at != s[i] {
			mid = onPath(p, s, at, i)
		}
		for lo+2 < len(s) && s[lo+1] < at-bendReach {
			lo++
		}
		for hi+2 < len(s) && s[hi+1] < at+bendReach {
			hi++
		}
		out[i] = circleRadius(between(p, s, lo, at-bendReach), mid, between(p, s, hi, at+bendReach))
	}
	return out
}

// onPath returns the point at arc length at, sought from point i.
func onPath(p []geom.Point, s []float64, at float64, i int) geom.Point {
	for i > 0 && s[i] > at {
		i--
	}
	for i+2 < len(s) && s[i+1] < at {
		i++
	}
	return between(p, s, i, at)
}

// between returns the point at arc length at on the piece that starts at i.
func between(p []geom.Point, s []float64, i int, at float64) geom.Point {
	if i+1 >= len(p) || s[i+1] <= s[i] {
		return p[i]
	}
	return p[i].Lerp(p[i+1], (at-s[i])/(s[i+1]-s[i]))
}

func circleRadius(a, b, c geom.Point) float64 {
	u, v, x := b.Sub(a), c.Sub(b), c.Sub(a)
	return math.Sqrt(u.Dot(u)*v.Dot(v)*x.Dot(x)) / (2 * math.Abs(u.Cross(v)))
}

// dist is the distance of two points on a bed, where squares of coordinates
// neither overflow nor vanish: a third of the time of one that minds that.
func dist(a, b geom.Point) float64 {
	d := b.Sub(a)
	return math.Sqrt(d.Dot(d))
}

func resized(buf *[]float64, n int) []float64 {
	if cap(*buf) < n {
		*buf = make([]float64, 2*n)
	}
	return (*buf)[:n]
}
