package field

import (
	"context"
	"math"
	"sync"

	"sinew/geom"
	"sinew/internal/work"
	"sinew/stress"
)

// measure is the smooth figure that refinement lowers:
//
//	J = mean over cases of ln P(fibre) + ln P(matrix) + ½·ln energy
//
// each P the p-norm over the part of all families' failure indices under a
// case, averaged over discs. Where fewer strands run than can be printed the
// indices of the strands fade, and that of the plain plastic that will lie
// there takes the place of the matrix's; covers and what lies outside the
// families' elements are such plastic throughout. Logarithms: a case counts by what it gains as a share, however
// far it is from failure, so that none is given up for another. With goal
// Weakest both indices of all cases share one norm, and with goal Stiffest the
// energy stands alone. The energy of a case that changes the temperature does not
// count.
type measure struct {
	f        *fitter
	families []Family
	counts   []int
	vars     []int        // steered families that may change
	base     stress.Sheet // all but those
	ops      []*Gradient  // per family
	goal     Goal
	workers  int
}

const (
	// normPower of the p-norm: with 16 the norm of a plate whose worst disc is
	// 1 % of its area lies within a third of the worst.
	normPower = 16.0
	// fadeShare of the least density is where the indices have faded to half:
	// below it a pocket of plastic is printed, not a strand.
	fadeShare = 0.8
	// leastIndex keeps the logarithm of an index that nothing calls on.
	leastIndex = 1e-9
)

// state is the measure at one set of phases.
type state struct {
	phases [][]float64 // per variable
	sol    *stress.Solution
	mean   [][2][][]float64 // per family, and of the covers: fibre, matrix or plastic; per case: disc means
	norm   [][2]float64     // the p-norms, per case; with goal Weakest all are one
	value  float64
}

func newMeasure(f *fitter, families []Family, counts []int, vars []int, goal Goal) *measure {
	m := &measure{f: f, families: families, counts: counts, vars: vars, goal: goal, workers: f.set.Workers}
	points := f.in.System.Points()
	for k := range families {
		m.ops = append(m.ops, f.operator(&families[k]))
	}
	m.base = f.in.Stack.bare(len(points))
	for k := range families {
		if counts[k] > 0 && m.varOf(k) < 0 {
			f.in.Stack.addFamily(&m.base, &families[k], m.ops[k], float64(counts[k])*f.in.Stack.Law.Height(), f.set.Workers)
			m.ops[k] = families[k].settled(m.ops[k], len(points))
		}
	}
	return m
}

// settled is an operator that knows the fibre of a family which stays as it is.
func (f *Family) settled(g *Gradient, points int) *Gradient {
	out := &Gradient{mesh: g.mesh, drawn: make([]Fibre, points)}
	for i := range out.drawn {
		out.drawn[i] = f.FibreAt(g, i)
	}
	return out
}

// varOf is the variable that a family is, -1 for none.
func (m *measure) varOf(family int) int {
	for v, k := range m.vars {
		if k == family {
			return v
		}
	}
	return -1
}

// phaseOf is a family's phase, the changed one where it is a variable.
func (m *measure) phaseOf(k int, phases [][]float64) []float64 {
	if v := m.varOf(k); v >= 0 {
		return phases[v]
	}
	return m.families[k].Phase
}

// fibreAt is FibreAt with the gradient.
func (m *measure) fibreAt(k, i int, phase []float64) (g geom.Point, ok bool) {
	if m.ops[k].drawn != nil {
		b := m.ops[k].drawn[i]
		sin, cos := math.Sincos(b.Theta)
		return geom.Point{X: sin, Y: -cos}.Scale(math.Max(leastSlope, b.Rho)), b.Covered
	}
	if !m.ops[k].Covers(i, m.families[k].Active) {
		return g, false
	}
	g = m.ops[k].At(i, phase)
	if n := g.Norm(); n < leastSlope {
		g = geom.Point{X: leastSlope}
	}
	return g, true
}

// fade is the share of an index that counts at a density:
// r⁴/(r⁴ + 1), r = ρ/(fadeShare·ρ_min), and its slope.
func (m *measure) fade(rho float64) (h, dh float64) {
	lo := fadeShare * m.f.in.Stack.Law.RhoMin()
	r := rho / lo
	r4 := r * r * r * r
	h = r4 / (r4 + 1)
	return h, 4 * r * r * r / ((r4 + 1) * (r4 + 1)) / lo
}

// plasticAt is the index of plain plastic under a strain less its growth, with its
// slope by the strain; zero where plastic is not judged.
func (m *measure) plasticAt(strain [3]float64) (v float64, slope [3]float64) {
	k := &m.f.in.Stack
	if k.PlasticIndex == nil {
		return 0, slope
	}
	v, slope = k.PlasticIndex(k.Plastic.Mul(strain))
	return v, k.Plastic.Mul(slope)
}

// at analyses the plate with the phases and measures it.
func (m *measure) at(ctx context.Context, phases [][]float64) (*state, error) {
	sheet := copied(&m.base)
	for v, k := range m.vars {
		f := m.families[k]
		f.Phase = phases[v]
		m.f.in.Stack.addFamily(&sheet, &f, m.ops[k], float64(m.counts[k])*m.f.in.Stack.Law.Height(), m.workers)
	}
	sol, err := m.f.in.System.Respond(ctx, sheet)
	if err != nil {
		return nil, err
	}
	s := &state{phases: phases, sol: sol, mean: make([][2][][]float64, len(m.families)+1)}
	type of struct{ family, c int }
	var list []of
	for k := range s.mean {
		if !m.judges(k) {
			continue
		}
		for mode := range s.mean[k] {
			s.mean[k][mode] = make([][]float64, len(sol.Cases))
		}
		for c := range sol.Cases {
			list = append(list, of{k, c})
		}
	}
	work.Each(len(list), m.workers, func(i int) { m.means(list[i].family, list[i].c, s) })
	m.sum(s)
	return s, nil
}

// judges reports whether a family, or the covers behind the last, has indices.
func (m *measure) judges(k int) bool {
	if k == len(m.families) {
		return m.f.in.Stack.Covers > 0 && m.f.in.Stack.PlasticIndex != nil
	}
	return m.counts[k] > 0
}

// thereAt reports whether layers of a family, or covers, lie at a point.
func (m *measure) thereAt(k, i int) bool {
	if k == len(m.families) {
		return m.f.in.Stack.coverShareAt(i) > 0
	}
	return m.f.in.Stack.shareAt(i) > 0
}

// means finds the disc means of a family's fibre and matrix index under a case.
func (m *measure) means(k, c int, s *state) {
	points := len(m.f.in.System.Points())
	var phase []float64
	if k < len(m.families) {
		phase = m.phaseOf(k, s.phases)
	}
	fibre, matrix := make([]float64, points), make([]float64, points)
	for i := range points {
		if !m.thereAt(k, i) {
			continue
		}
		e := s.sol.Cases[c].Strain[i]
		matrix[i], _ = m.plasticAt(m.f.judge.plasticStrain(e, c, i))
		if k == len(m.families) {
			continue
		}
		g, ok := m.fibreAt(k, i, phase)
		if !ok {
			continue
		}
		rho := g.Norm()
		ft, fc, mx := m.f.in.Stack.Law.Indices(rho, m.f.judge.fibreStrain(e, c, i, rho, -g.Y/rho, g.X/rho))
		h, _ := m.fade(rho)
		fibre[i], matrix[i] = (ft+fc)*h, mx*h+matrix[i]*(1-h)
	}
	s.mean[k][0][c], s.mean[k][1][c] = m.f.judge.disc.Mean(fibre), m.f.judge.disc.Mean(matrix)
}

// chunks shares 0..n out among the workers in whole pieces; each piece writes
// to its own places, so that the answer does not depend on their number.
func (m *measure) chunks(n int, do func(lo, hi int)) {
	if m.workers == 1 {
		do(0, n)
		return
	}
	var wait sync.WaitGroup
	for w := range m.workers {
		wait.Go(func() { do(w*n/m.workers, (w+1)*n/m.workers) })
	}
	wait.Wait()
}

// sum fills the norms and the value of a state.
func (m *measure) sum(s *state) {
	area := m.judgedArea()
	weights := m.f.in.System.Weights()
	s.norm = make([][2]float64, len(s.sol.Cases))
	top := leastIndex // of all
	for c := range s.norm {
		for mode := range s.norm[c] {
			most := leastIndex
			m.each(s, c, mode, func(mean []float64) { most = math.Max(most, maximum(mean)) })
			power := 0.0
			m.each(s, c, mode, func(mean []float64) {
				for i, v := range mean {
					power += weights[i] * math.Pow(v/most, normPower)
				}
			})
			s.norm[c][mode] = most * math.Pow(math.Max(power/area, tinyPower), 1/normPower)
			top = math.Max(top, s.norm[c][mode])
		}
	}
	if m.goal == Weakest {
		total := 0.0
		for _, n := range s.norm {
			total += math.Pow(n[0]/top, normPower) + math.Pow(n[1]/top, normPower)
		}
		p := top * math.Pow(total, 1/normPower)
		for c := range s.norm {
			s.norm[c] = [2]float64{p, p}
		}
	}
	wf, wm, wk := m.goal.weights()
	s.value = 0
	for c := range s.sol.Cases {
		s.value += (wf*math.Log(s.norm[c][0]) + wm*math.Log(s.norm[c][1])) / float64(len(s.sol.Cases))
	}
	s.value += wk * m.f.judge.flexibility(s.sol)
}

// judgedArea is the area that is not masked.
func (m *measure) judgedArea() float64 {
	area := 0.0
	for i, w := range m.f.in.System.Weights() {
		if !m.f.judge.disc.IsMasked(i) {
			area += w
		}
	}
	return area
}

// tinyPower keeps the norm of an unloaded part positive.
const tinyPower = 1e-300

// each calls do with the disc means of every family in a mode under a case.
func (m *measure) each(s *state, c, mode int, do func(mean []float64)) {
	for k := range s.mean {
		if s.mean[k][mode] != nil {
			do(s.mean[k][mode][c])
		}
	}
}
