package field

import (
	"math"

	"sinew/geom"
	"sinew/material"
)

// gradient returns the total derivative of the measure by the nodal phases of
// each variable, the change of the plate's strain included. With loads f and
// K·u = f it is that of the adjoint method:
//
//	K·λ = ∂J/∂u,   dJ/dφ = ∂J/∂φ + λᵀ·(df/dφ - dK/dφ·u)
//
// It must follow the at that made s, whose factorisation it uses.
func (m *measure) gradient(s *state) ([][]float64, error) {
	n := len(m.f.in.System.Points())
	direct := make([][]geom.Point, len(m.vars)) // ∂J/∂∇φ at the points of the system
	for v := range direct {
		direct[v] = make([]geom.Point, n)
	}
	load := make([][]float64, len(s.sol.Cases))
	for c := range load {
		load[c] = make([]float64, len(s.sol.Cases[c].U))
	}
	for k := range s.mean {
		if m.judges(k) {
			m.explicit(k, s, load, direct)
		}
	}
	if err := m.f.in.System.SolveLoads(load); err != nil {
		return nil, err
	}
	for c := range load {
		m.implicit(c, s, load[c], direct)
	}
	out := make([][]float64, len(m.vars))
	for v, k := range m.vars {
		out[v] = make([]float64, len(m.f.space.m.Nodes))
		m.ops[k].addTransposed(out[v], direct[v])
	}
	return out, nil
}

// addTransposed adds to nodal values the transpose of At over all points: the
// derivative by the phase of a function whose derivative by its gradient at
// point i is v[i].
func (g *Gradient) addTransposed(nodal []float64, v []geom.Point) {
	for i, t := range g.tri {
		if t < 0 || v[i] == (geom.Point{}) {
			continue
		}
		for k, n := range g.mesh.Tris[t] {
			nodal[n] += g.dN[i][k].Dot(v[i])
		}
	}
}

// explicit adds the derivative of the indices of family k at fixed strain to
// direct, and by the strain to the adjoint loads.
func (m *measure) explicit(k int, s *state, load [][]float64, direct [][]geom.Point) {
	weights, area := m.f.in.System.Weights(), m.judgedArea()
	wf, wm, _ := m.goal.weights()
	share := [2]float64{wf / float64(len(s.sol.Cases)), wm / float64(len(s.sol.Cases))}
	if m.goal == Weakest {
		share = [2]float64{wf, wf} // one norm of all
	}
	for c := range s.sol.Cases {
		var back [2][]float64
		for mode := range back {
			d := make([]float64, len(weights))
			for i, v := range s.mean[k][mode][c] {
				if v > 0 && share[mode] != 0 {
					// d ln P = (v/P)^p · w/W · dv/v
					d[i] = share[mode] * math.Pow(v/s.norm[c][mode], normPower) * weights[i] / area / v
				}
			}
			back[mode] = m.f.judge.disc.Adjoint(d)
		}
		m.indexSlopes(k, c, s, back, load[c], direct)
	}
}

// indexSlopes carries the derivatives by a family's indices at the points on
// to strain and phase.
func (m *measure) indexSlopes(k, c int, s *state, back [2][]float64, load []float64, direct [][]geom.Point) {
	weights := m.f.in.System.Weights()
	for i := range weights {
		b := [2]float64{back[0][i], back[1][i]}
		if b == [2]float64{} || !m.thereAt(k, i) {
			continue
		}
		r := m.pointSlopes(k, c, i, s, b, direct)
		for j := range r {
			r[j] /= weights[i]
		}
		m.f.in.System.AddStrainLoad(load, i, r)
	}
}

// pointSlopes returns the derivative by the strain at a point of what the
// derivatives b by the fibre and the matrix index there stand for, and adds that
// by the phase to direct.
func (m *measure) pointSlopes(k, c, i int, s *state, b [2]float64, direct [][]geom.Point) (r [3]float64) {
	strain := s.sol.Cases[c].Strain[i]
	plastic, byStrain := m.plasticAt(m.f.judge.plasticStrain(strain, c, i))
	g, ok := geom.Point{}, false
	if k < len(m.families) {
		g, ok = m.fibreAt(k, i, m.phaseOf(k, s.phases))
	}
	if !ok {
		for j := range r {
			r[j] = b[1] * byStrain[j]
		}
		return r
	}
	rho := g.Norm()
	cos, sin := -g.Y/rho, g.X/rho
	e := material.TurnStrainBy(strain, cos, sin)
	value, slope := m.f.in.Stack.Law.IndexSlopes(rho, m.f.judge.fibreStrain(strain, c, i, rho, cos, sin))
	h, dh := m.fade(rho)
	var d [4]float64
	for j := range d {
		d[j] = h * (b[0]*(slope[0][j]+slope[1][j]) + b[1]*slope[2][j])
	}
	if warm := m.f.judge.warmAt(c, i); warm != 0 {
		along, across := m.f.in.Stack.Law.ExpansionSlopes(rho)
		d[3] -= warm * (d[0]*along + d[1]*across)
	}
	d[3] += dh * (b[0]*(value[0]+value[1]) + b[1]*(value[2]-plastic))
	r = turnedBack([3]float64{d[0], d[1], d[2]}, cos, sin)
	for j := range r {
		r[j] += (1 - h) * b[1] * byStrain[j]
	}
	if v := m.varOf(k); v >= 0 {
		turn := strainTurn(e)
		theta := d[0]*turn[0] + d[1]*turn[1] + d[2]*turn[2]
		direct[v][i] = direct[v][i].Add(byGradient(g, d[3], theta))
	}
	return r
}

// strainTurn is the derivative of a strain in layer axes by the angle of the
// layer.
func strainTurn(e [3]float64) [3]float64 { return [3]float64{e[2], -e[2], 2 * (e[1] - e[0])} }

// turnedBack is the transpose of TurnStrainBy.
func turnedBack(d [3]float64, c, s float64) [3]float64 {
	return [3]float64{
		c*c*d[0] + s*s*d[1] - 2*c*s*d[2],
		s*s*d[0] + c*c*d[1] + 2*c*s*d[2],
		c*s*d[0] - c*s*d[1] + (c*c-s*s)*d[2],
	}
}

// byGradient turns derivatives by density and angle into that by the gradient
// of the phase: ρ = |g|, θ = atan2(gx, -gy).
func byGradient(g geom.Point, rho, theta float64) geom.Point {
	n2 := g.Dot(g)
	n := math.Sqrt(n2)
	return geom.Point{X: rho*g.X/n - theta*g.Y/n2, Y: rho*g.Y/n + theta*g.X/n2}
}

// implicit adds what changes through the plate's stiffness, growth and weight
// under case c: -λᵀ·dK·u + λᵀ·df, and the same of the energy, whose own adjoint is
// u itself.
func (m *measure) implicit(c int, s *state, lambda []float64, direct [][]geom.Point) {
	sys, law := m.f.in.System, m.f.in.Stack.Law
	adjoint := sys.StrainsOf(lambda)
	_, _, wk := m.goal.weights()
	// E = uᵀKu/2 at given loads: dE = -uᵀ·dK·u/2 + uᵀ·df.
	scale := 0.0
	if m.f.judge.firm(c) {
		scale = wk / 2 / float64(len(s.sol.Cases)) / math.Max(leastIndex, s.sol.Cases[c].Energy)
	}
	body := m.bodyWork(c, s, lambda, scale)
	weights := sys.Weights()
	for v, k := range m.vars {
		whole := float64(m.counts[k]) * law.Height()
		m.chunks(len(weights), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				g, ok := m.fibreAt(k, i, s.phases[v])
				if !ok {
					continue
				}
				rho := g.Norm()
				cos, sin := -g.Y/rho, g.X/rho
				u := material.TurnStrainBy(s.sol.Cases[c].Strain[i], cos, sin)
				l := material.TurnStrainBy(adjoint[i], cos, sin)
				for j := range l {
					l[j] += scale / 2 * u[j]
				}
				q, dq := law.Reduced(rho)
				// What the forces of temperature hold back is not strained: u less
				// the free growth stands where u alone would.
				held := m.f.judge.fibreStrain(s.sol.Cases[c].Strain[i], c, i, rho, cos, sin)
				qu, ql, tu, tl := q.Mul(held), q.Mul(l), strainTurn(u), strainTurn(l)
				byRho, byTheta := 0.0, 0.0
				du := dq.Mul(held)
				for j := range u {
					byRho += l[j] * du[j]
					byTheta += tl[j]*qu[j] + ql[j]*tu[j]
				}
				if warm := m.f.judge.warmAt(c, i); warm != 0 {
					along, across := law.ExpansionSlopes(rho)
					byRho -= warm * (ql[0]*along + ql[1]*across)
				}
				// The energy's part is quadratic in one strain, and half of it
				// stands in l: the sum over both strains counts it right.
				height := whole * m.f.in.Stack.shareAt(i)
				w := -weights[i] * height
				byRho, byTheta = w*byRho, w*byTheta
				if body != nil {
					byRho += weights[i] * height * body[i] * m.densitySlope(rho)
				}
				direct[v][i] = direct[v][i].Add(byGradient(g, byRho, byTheta))
			}
		})
	}
}

// densitySlope is the derivative of a layer's density by the strands per mm,
// by a difference: the density is linear in them but for the bend at the limit.
func (m *measure) densitySlope(rho float64) float64 {
	const step = 1e-4 // of rho: the bend's error is of its square
	law := m.f.in.Stack.Law
	return (law.Composition(rho*(1+step)).Density - law.Composition(rho*(1-step)).Density) / (2 * step * rho)
}

// bodyWork is, at each point, the work of a unit of mass per area along the
// adjoint and, scaled, along the displacement; nil where nothing accelerates.
func (m *measure) bodyWork(c int, s *state, lambda []float64, scale float64) []float64 {
	if k := &m.f.in.Part.Cases[c]; k.Acceleration == (geom.Point{}) && k.Spin.Rate == 0 {
		return nil
	}
	mesh := m.f.in.System.Mesh()
	out := make([]float64, perTri*len(mesh.Tris))
	for i := range out {
		n, a := m.f.space.shape[i%perTri], m.f.in.System.BodyForce(c, i)
		for j, node := range mesh.Tris[i/perTri] {
			x := lambda[2*node] + scale*s.sol.Cases[c].U[2*node]
			y := lambda[2*node+1] + scale*s.sol.Cases[c].U[2*node+1]
			out[i] += n[j] * (a.X*x + a.Y*y)
		}
	}
	return out
}
