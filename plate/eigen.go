package plate

import (
	"context"
	"errors"
	"fmt"
	"math"

	"sinew/hold"
	"sinew/sparse"
)

// Mode is one way of buckling or swinging.
type Mode struct {
	// Value is the factor on the case's loads at which the part buckles, or the
	// frequency in Hz.
	Value float64
	D     []float64 // displacements of the nodes as in CaseSolution; the greatest of u, v, w is 1
}

// Buckling returns the least factors on a solved case at which the part
// buckles, at most count, ascending: the static answer sol of that case and
// section calls up the forces in the plane N, and
//
//	(K + factor·K_g)·d = 0,  K_g = integral of grad w · N · grad w
//
// Factors count for the case with its own factor already in it, all its loads
// and temperatures growing together; pulled in every direction a part has none.
func (s *System) Buckling(ctx context.Context, section *Section, sol *Solution, which, count int) ([]Mode, error) {
	forces := s.PlaneForces(&sol.Cases[which], section)
	return s.buckle(ctx, section, which, forces, count)
}

// buckle is Buckling for given forces in the plane at the integration points.
func (s *System) buckle(ctx context.Context, section *Section, which int, forces [][3]float64, count int) ([]Mode, error) {
	return s.modes(ctx, section, which, count, func(k *[packed]float64, e *shaped, t int) {
		for p := range PointsPerTri {
			n := forces[t*PointsPerTri+p]
			for i := range nodesPerTri {
				a := e.slope[p][i]
				for j := range i + 1 {
					b := e.slope[p][j]
					r, c := dofsPerNode*i+dispW, dofsPerNode*j+dispW
					k[r*(r+1)/2+c] -= e.weight[p] * (a[0]*(n[0]*b[0]+n[2]*b[1]) + a[1]*(n[2]*b[0]+n[1]*b[1]))
				}
			}
		}
	}, func(v float64) float64 { return v })
}

// Frequencies returns the least natural frequencies of the part as a case
// holds it, at most count, ascending. The section needs a mass.
func (s *System) Frequencies(ctx context.Context, section *Section, which, count int) ([]Mode, error) {
	if len(section.Mass) == 0 {
		return nil, errors.New("frequencies need the mass of the plate: the section has none")
	}
	return s.modes(ctx, section, which, count, func(k *[packed]float64, e *shaped, t int) {
		e.massTo(k, section, t)
	}, func(v float64) float64 { return math.Sqrt(v) / (2 * math.Pi) })
}

// massTo adds the element's mass in N·s²/mm: translations, tilts, and what a
// mass off the reference plane couples of both. The bubble swings without mass.
func (e *shaped) massTo(k *[packed]float64, section *Section, t int) {
	for p := range PointsPerTri {
		m := scaled(pick(section.Mass, t*PointsPerTri+p), hold.ToNewton*e.weight[p])
		n := &constants.points[p].n
		for i := range nodesPerTri {
			for j := range i + 1 {
				v := n[i] * n[j]
				add := func(a, b int, x float64) {
					if r, c := dofsPerNode*i+a, dofsPerNode*j+b; r >= c {
						k[r*(r+1)/2+c] += v * x
					}
				}
				add(dispU, dispU, m[0])
				add(dispV, dispV, m[0])
				add(dispW, dispW, m[0])
				add(tiltX, tiltX, m[2])
				add(tiltY, tiltY, m[2])
				add(tiltX, dispU, m[1])
				add(tiltY, dispV, m[1])
				add(dispU, tiltX, m[1])
				add(dispV, tiltY, m[1])
			}
		}
	}
}

// modes solves K·d = λ·M·d for the least λ above zero.
func (s *System) modes(ctx context.Context, section *Section, which, count int, matrix func(k *[packed]float64, e *shaped, t int), value func(float64) float64) ([]Mode, error) {
	if which < 0 || which >= len(s.setOf) {
		return nil, fmt.Errorf("case %d of %d", which, len(s.setOf))
	}
	if err := section.Validate(len(s.elements.weight)); err != nil {
		return nil, err
	}
	set := s.sets[s.setOf[which]]
	if err := set.NeedFactor(); err != nil {
		return nil, err
	}
	s.stop = func() bool { return ctx.Err() != nil }
	defer func() { s.stop = nil }()
	if err := set.Factorize(s.stiffness(section)); err != nil {
		return nil, errors.Join(ctx.Err(), err)
	}
	m := &sparse.Symmetric{N: set.Matrix.N, ColPtr: set.Matrix.ColPtr, Row: set.Matrix.Row, Val: make([]float64, len(set.Matrix.Val))}
	set.AssembleTo(m, false, func(k []float64, t int) {
		clear(k)
		var e shaped
		s.elements.shapeTo(&e, t)
		matrix((*[packed]float64)(k), &e, t)
	})
	values, vectors, err := sparse.Eigen(set.Factor, set.Matrix, m, sparse.Spectrum{Count: count, Cancel: s.stop})
	if err != nil {
		return nil, errors.Join(ctx.Err(), err)
	}
	out := make([]Mode, len(values))
	d := make([]float64, dofsPerNode*len(s.elements.mesh.Nodes))
	for i, v := range values {
		set.ExpandTo(d, vectors[i*set.Unknowns():(i+1)*set.Unknowns()], 0)
		out[i] = Mode{Value: value(v), D: normalized(d)}
	}
	return out, nil
}

// Shape returns the deflections w of a mode at the nodes, the greatest of them
// of the given size.
func (s *System) Shape(m Mode, size float64) []float64 {
	out := make([]float64, len(s.elements.mesh.Nodes))
	best := 0.0
	for n := range out {
		out[n] = m.D[dofsPerNode*n+dispW]
		best = math.Max(best, math.Abs(out[n]))
	}
	for n := range out {
		if best > 0 {
			out[n] *= size / best
		}
	}
	return out
}

// normalized returns a copy of which the greatest displacement is 1.
func normalized(d []float64) []float64 {
	best := 0.0
	for n := 0; n < len(d); n += dofsPerNode {
		for k := dispU; k <= dispW; k++ {
			if math.Abs(d[n+k]) > math.Abs(best) {
				best = d[n+k]
			}
		}
	}
	out := make([]float64, len(d))
	for i := range d {
		out[i] = d[i] / best
	}
	return out
}
