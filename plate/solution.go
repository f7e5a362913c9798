package plate

import (
	"math"

	"sinew/geom"
	"sinew/hold"
	"sinew/internal/work"
	"sinew/part"
	"sinew/stress"
)

// CaseSolution is the answer for one load case, factor included.
type CaseSolution struct {
	// D holds the displacements of the nodes, 5·node + 0…4: u, v, w (mm) and
	// the tilts of the normal towards x and y (rad).
	D []float64
	// Strain at the integration points: of the reference plane 11, 22, 12;
	// curvature 11, 22, 12 (1/mm); transverse shear xz, yz. Mechanical and
	// thermal together.
	Strain [][8]float64
	Heat   part.Heat // change of temperature
	// Reactions of the part's supports about their features' centres in the
	// reference plane, Applied of the loads about the origin: Fx, Fy, Fz (N),
	// Mx, My, Mz (N mm).
	Reactions [][6]float64
	Applied   [6]float64
	Energy    float64 // strain energy of plate, springs and foundation, N mm; without what layers lock up among themselves
	Work      float64 // of the loads along their displacements, N mm
	Imbalance float64 // |applied + reactions| over the sum of nodal force sizes, those of temperature too; moments over half the diagonal of the part
	Residual  float64 // |K u - f| / (|K||u| + |f|), infinity norm

	bubble [][2]float64 // tilts of each element's bubble
}

// Solution holds the answers for all cases of the part.
type Solution struct {
	Cases []CaseSolution
}

// respond returns the forces that displacements d and temperatures call up in
// plate, springs and foundation; answer, where not nil, takes the strains.
func (s *System) respond(set *hold.Set, d []float64, section *Section, heat part.Heat, answer *CaseSolution) []float64 {
	tris, warm := s.elements.mesh.Tris, s.warmth(section, heat)
	forces := make([][fullDofs]float64, len(tris))
	work.Share(len(tris), s.workers, func(lo, hi int) {
		var e shaped
		var k full
		var out [packed]float64
		for t := lo; t < hi; t++ {
			s.elements.shapeTo(&e, t)
			u := s.elements.gather(t, d)
			e.stiffnessTo(&k, section, t)
			c := k.condense(&out)
			h := e.heat(warm, t)
			x, y := c.bubble(&u, [2]float64{h[dofsPerTri], h[dofsPerTri+1]})
			u[dofsPerTri], u[dofsPerTri+1] = x, y
			if answer != nil {
				answer.bubble[t] = [2]float64{x, y}
			}
			for p := range PointsPerTri {
				point := t*PointsPerTri + p
				eps := e.strainAt(p, &u)
				if answer != nil {
					answer.Strain[point] = eps
				}
				l := section.at(point)
				r := l.resultant(&eps)
				held := warm.resultant(point)
				for i := range r {
					r[i] -= held[i]
				}
				e.addInternal(&forces[t], p, &r)
				e.addBed(&forces[t], p, pick(section.Foundation, point), &u)
			}
		}
	})
	f := make([]float64, len(d))
	for t, tri := range tris {
		for i, n := range tri {
			for c := range dofsPerNode {
				f[dofsPerNode*int(n)+c] += forces[t][dofsPerNode*i+c]
			}
		}
	}
	set.AddSprings(f, d)
	return f
}

// addBed adds the forces of the foundation at point p.
func (e *shaped) addBed(f *[fullDofs]float64, p int, stiff float64, u *[fullDofs]float64) {
	if stiff == 0 {
		return
	}
	n, w := &constants.points[p].n, 0.0
	for i := range nodesPerTri {
		w += n[i] * u[dofsPerNode*i+dispW]
	}
	for i := range nodesPerTri {
		f[dofsPerNode*i+dispW] += e.weight[p] * stiff * n[i] * w
	}
}

// finish derives from the displacements of case i all else that is told of it.
func (s *System) finish(c *CaseSolution, set *hold.Set, i int, section *Section, d, applied, thermal []float64) {
	c.Heat = s.part.Cases[i].Heat.Times(s.part.Cases[i].Factor)
	c.D = d[:dofsPerNode*len(s.elements.mesh.Nodes)]
	c.Strain = make([][strains]float64, len(s.elements.weight))
	c.bubble = make([][2]float64, len(s.elements.mesh.Tris))
	left := s.respond(set, d, section, c.Heat, c)
	for k, v := range applied {
		c.Work += v * d[k]
		left[k] -= v
	}
	c.Energy = s.energy(c, set, section, d)
	c.Applied = set.Resultant(applied, geom.Point{})
	var held []float64
	c.Reactions, held = set.Reactions(left, d)
	s.bedReaction(held, section, d)
	c.Imbalance = set.Imbalance(applied, thermal, held, true)
}

// energy sums the strain energy, with e the strain less that of free thermal
// growth:
//
//	1/2 e·C·e = 1/2 ε·C·ε - ε·h + 1/2 h·C⁻¹·h,   h the forces of a held plate
func (s *System) energy(c *CaseSolution, set *hold.Set, section *Section, d []float64) float64 {
	sum, warm := 0.0, s.warmth(section, c.Heat)
	for p, w := range s.elements.weight {
		l := section.at(p)
		r, h := l.resultant(&c.Strain[p]), warm.resultant(p)
		e := 0.0
		for i := range r {
			e += (r[i]/2 - h[i]) * c.Strain[p][i]
		}
		if c.Heat.Acts() {
			e += s.lockedIn(&l, &h)
		}
		sum += w * e
		if k := pick(section.Foundation, p); k != 0 {
			u := s.deflection(p, d)
			sum += w * k * u * u / 2
		}
	}
	return sum + set.SpringEnergy(d)
}

func (s *System) lockedIn(l *law, h *[strains]float64) float64 {
	inverse, _ := l.abd.Inverse()
	n, m := [3]float64{h[0], h[1], h[2]}, [3]float64{h[3], h[4], h[5]}
	e, k := inverse.Mul(n, m)
	return (n[0]*e[0] + n[1]*e[1] + n[2]*e[2] + m[0]*k[0] + m[1]*k[1] + m[2]*k[2]) / 2
}

// deflection w at an integration point.
func (s *System) deflection(p int, d []float64) float64 {
	w := 0.0
	for i, n := range s.elements.mesh.Tris[p/PointsPerTri] {
		w += constants.points[p%PointsPerTri].n[i] * d[dofsPerNode*int(n)+dispW]
	}
	return w
}

// bedReaction adds the forces of the foundation.
func (s *System) bedReaction(held []float64, section *Section, d []float64) {
	if len(section.Foundation) == 0 {
		return
	}
	for p, w := range s.elements.weight {
		q := w * pick(section.Foundation, p) * s.deflection(p, d)
		for i, n := range s.elements.mesh.Tris[p/PointsPerTri] {
			held[dofsPerNode*int(n)+dispW] -= q * constants.points[p%PointsPerTri].n[i]
		}
	}
}

// Moves returns how far each node moves along x, y and z, in displacements as a
// CaseSolution or a Mode holds them.
func Moves(d []float64) [][3]float64 {
	out := make([][3]float64, len(d)/dofsPerNode)
	for n := range out {
		out[n] = [3]float64(d[dofsPerNode*n+dispU:])
	}
	return out
}

// Greatest returns the greatest deflection w by size and its node's place.
func (s *System) Greatest(c *CaseSolution) (w float64, at geom.Point) {
	for n, p := range s.elements.mesh.Nodes {
		if v := c.D[dofsPerNode*n+dispW]; math.Abs(v) > math.Abs(w) {
			w, at = v, p
		}
	}
	return w, at
}

// StrainAt returns strain of the reference plane and curvature, 11, 22, 12
// each, at spots of the mesh.
func (s *System) StrainAt(c *CaseSolution, spots []stress.Spot) [][6]float64 {
	out := make([][6]float64, len(spots))
	for k, p := range spots {
		t, b := p.Tri, p.B
		g, _ := s.elements.mesh.Gradient(t, b)
		e := &out[k]
		add := func(x, y float64, d []float64) {
			e[3] += x * d[0]
			e[4] += y * d[1]
			e[5] += y*d[0] + x*d[1]
		}
		for i, node := range s.elements.mesh.Tris[t] {
			d := c.D[dofsPerNode*int(node):]
			e[0] += g[i].X * d[dispU]
			e[1] += g[i].Y * d[dispV]
			e[2] += g[i].Y*d[dispU] + g[i].X*d[dispV]
			add(g[i].X, g[i].Y, d[tiltX:tiltY+1])
		}
		x, y := s.bubbleSlope(t, b)
		add(x, y, c.bubble[t][:])
	}
	return out
}

// bubbleSlope returns the derivatives of an element's bubble by x and y.
func (s *System) bubbleSlope(t int, b [3]float64) (x, y float64) {
	var nodes [nodesPerTri]geom.Point
	for i, n := range s.elements.mesh.Tris[t] {
		nodes[i] = s.elements.mesh.Nodes[n]
	}
	p := newSample(b)
	xr, yr, xs, ys := jacobian(&nodes, &p)
	det := xr*ys - yr*xs
	return (ys*p.b1 - yr*p.b2) / det, (xr*p.b2 - xs*p.b1) / det
}

// Deflections returns the mean of u, v, w along a feature.
func (s *System) Deflections(c *CaseSolution, feature int) (mean [3]float64) {
	length := s.outline.Length(feature)
	for _, side := range s.outline.Sides(feature) {
		b := s.elements.mesh.Boundary[side]
		for _, p := range s.outline.Places(side) {
			for k, n := range [3]int32{b.A, b.Mid, b.B} {
				for d := range mean {
					mean[d] += p.Share[k] * p.Length / length * c.D[dofsPerNode*int(n)+d]
				}
			}
		}
	}
	return mean
}
