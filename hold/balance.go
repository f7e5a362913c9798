package hold

import (
	"math"

	"sinew/geom"
)

// Resultant returns the sum of forces on nodes and shared motions of elastic
// bolts, and their moments about a point of the plane: Fx, Fy, Fz, Mx, My, Mz.
func (s *Set) Resultant(f []float64, about geom.Point) (r [6]float64) {
	c := s.constraints
	for _, b := range c.bolts {
		c.addForce(&r, f[c.per*len(c.nodes)+b.motion:], c.commons[b.motion].Sub(about))
	}
	for n, p := range c.nodes {
		c.addForce(&r, f[c.per*n:], p.Sub(about))
	}
	return r
}

// addForce adds a node's force at an arm to a resultant.
func (c *constraints) addForce(r *[6]float64, f []float64, arm geom.Point) {
	r[0] += f[U]
	r[1] += f[V]
	r[5] += arm.X*f[V] - arm.Y*f[U]
	if c.per == Bending {
		r[2] += f[W]
		r[3] += arm.Y*f[W] - f[TiltY]
		r[4] += f[TiltX] - arm.X*f[W]
	}
}

// Reactions splits what the held nodes take among the supports, about their
// features' centres, from the forces that the nodes leave over, internal less
// external ones, and displacements d: a node's force is written along its held
// directions, each of which has an owner. held are the nodal forces of all that
// holds the part.
func (s *Set) Reactions(left, d []float64) (r [][6]float64, held []float64) {
	c := s.constraints
	r, held = make([][6]float64, len(c.outline.part.Supports)), make([]float64, len(left))
	for _, n := range c.order {
		list := c.equations[n]
		var own [most]float64
		copy(own[:c.per], left[c.per*int(n):])
		for k, lambda := range multipliers(list, &own) {
			var f [most]float64
			for d := range f {
				f[d] = lambda * list[k].local[d]
			}
			for d, v := range f[:c.per] {
				held[c.per*int(n)+d] += v
			}
			c.react(r, list[k].owner, n, f[:])
		}
	}
	c.springReactions(r, held, d)
	return r, held
}

// react adds a node's force to the reaction of a support.
func (c *constraints) react(r [][6]float64, owner int, n int32, f []float64) {
	if owner < len(r) {
		arm := c.nodes[n].Sub(c.outline.Center(c.outline.part.Supports[owner].Feature))
		c.addForce(&r[owner], f, arm)
	}
}

// springReactions adds what the spokes of supports take; those of bolts hold
// nothing by themselves, but pass on the load.
func (c *constraints) springReactions(r [][6]float64, held, d []float64) {
	for i := range c.springs {
		x := &c.springs[i]
		if x.owner >= len(r) {
			continue
		}
		var force [most]float64
		for k, v := range x.times(d) {
			if at := int(x.dofs[k]) - c.per*int(x.node); at >= 0 && at < c.per {
				force[at] -= v
				held[x.dofs[k]] -= v
			}
		}
		c.react(r, x.owner, x.node, force[:])
	}
}

// parallelSine is the sine of the angle below which two held directions of a
// node count as one; drawings are drawn to about 1e-9 rad, supports meant to
// differ do so by much more.
const parallelSine = 1e-6

// multipliers returns the sizes of the forces along the equations' directions
// that add up to r, or come nearest; an equation that repeats those before it
// gets none.
func multipliers(list []equation, r *[most]float64) []float64 {
	var basis [][most]float64 // orthonormal
	var upper [][]float64     // direction = sum of upper · basis
	var of []int
	for k, q := range list {
		v := q.local
		var col []float64
		for _, b := range basis {
			c := dot(&b, &v)
			col = append(col, c)
			for d := range v {
				v[d] -= c * b[d]
			}
		}
		l := math.Sqrt(dot(&v, &v))
		if l < parallelSine || len(basis) == most {
			continue
		}
		for d := range v {
			v[d] /= l
		}
		basis, upper, of = append(basis, v), append(upper, append(col, l)), append(of, k)
	}
	out := make([]float64, len(list))
	for j := len(basis) - 1; j >= 0; j-- {
		x := dot(&basis[j], r)
		for i := j + 1; i < len(basis); i++ {
			x -= upper[i][j] * out[of[i]]
		}
		out[of[j]] = x / upper[j][j]
	}
	return out
}

func dot(a, b *[most]float64) float64 {
	return a[U]*b[U] + a[V]*b[V] + a[W]*b[W] + a[TiltX]*b[TiltX] + a[TiltY]*b[TiltY]
}

// Imbalance compares applied and held forces, and with moments their moments,
// which count per half the part's diagonal. The scale is the sum of the sizes of
// nodal forces, those of temperature too, so that loads that cancel each other
// have one.
func (s *Set) Imbalance(applied, thermal, held []float64, moments bool) float64 {
	c := s.constraints
	box := c.outline.mesh.Bounds()
	center, half := box.Middle(), box.Min.Dist(box.Max)/2
	a, h := s.Resultant(applied, center), s.Resultant(held, center)
	sum := 0.0
	for n := 0; n < c.per*len(c.nodes); n += c.per {
		sum += max(c.size(applied[n:], half), c.size(thermal[n:], half), c.size(held[n:], half))
	}
	if sum == 0 {
		return 0
	}
	for i := range a {
		a[i] += h[i]
	}
	worst := math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
	if moments {
		worst = math.Max(worst, math.Sqrt(a[3]*a[3]+a[4]*a[4]+a[5]*a[5])/half)
	}
	return worst / sum
}

// size of a node's force, its moments per length.
func (c *constraints) size(f []float64, length float64) float64 {
	if c.per == InPlane {
		return math.Hypot(f[U], f[V])
	}
	return math.Sqrt(f[U]*f[U]+f[V]*f[V]+f[W]*f[W]) + math.Hypot(f[TiltX], f[TiltY])/length
}
