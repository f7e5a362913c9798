package stress

import (
	"fmt"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// Reading is what a probe of the part tells under one case.
type Reading struct {
	Probe, Case  int
	At           geom.Point // of strain and stress
	Displacement geom.Point // mm; mean along a feature
	Strain       float64    // along the probe's angle, as a strain gauge reads it
	Stress       [3]float64 // mean over the thickness, MPa, part axes
	// S1, S2 and Angle are the principal stresses and the first one's direction.
	S1, S2, Angle float64
	Reaction      [3]float64 // of the feature's supports: Fx, Fy (N), moment about its centre (N mm)
	OnFeature     bool       // stress and strain are those of the feature's most stressed node
}

// Probes reads all probes of the part under all cases, probe by probe. A probe
// outside the part is an error that names it.
func (s *System) Probes(sol *Solution, sheet Sheet) ([]Reading, error) {
	if len(s.part.Probes) == 0 {
		return nil, nil
	}
	find := mesh.NewLocator(s.elements.mesh)
	n := len(sol.Cases)
	out := make([]Reading, len(s.part.Probes)*n)
	for k := range sol.Cases {
		c := &sol.Cases[k]
		stress, strain := s.NodalStress(c, sheet), s.Nodal(c.Strain)
		for i := range s.part.Probes {
			r := &out[i*n+k]
			r.Probe, r.Case = i, k
			if err := s.read(r, c, stress, strain, find); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func (s *System) read(r *Reading, c *CaseSolution, stress, strain [][3]float64, find *mesh.Locator) error {
	probe := &s.part.Probes[r.Probe]
	var e [3]float64
	if probe.Feature >= 0 {
		if err := s.outline.Check(probe.Feature, fmt.Sprintf("probe %q", probe.Name)); err != nil {
			return err
		}
		n := s.mostStressed(probe.Feature, stress)
		r.OnFeature, r.At = true, s.elements.mesh.Nodes[n]
		r.Displacement = s.meanDisplacement(probe.Feature, c.U)
		r.Stress, e = stress[n], strain[n]
		for k, h := range s.part.Supports {
			if h.Feature == probe.Feature {
				for d := range r.Reaction {
					r.Reaction[d] += c.Reactions[k][d]
				}
			}
		}
	} else {
		at, err := SpotOf(find, probe)
		if err != nil {
			return err
		}
		r.At = probe.At
		for i, w := range mesh.Shape(at.B) {
			n := s.elements.mesh.Tris[at.Tri][i]
			r.Displacement = r.Displacement.Add(geom.Point{X: c.U[2*n], Y: c.U[2*n+1]}.Scale(w))
			for d := range e {
				e[d] += w * strain[n][d]
				r.Stress[d] += w * stress[n][d]
			}
		}
	}
	r.Strain = material.TurnStrain(e, probe.Angle)[0]
	r.S1, r.S2, r.Angle = Principal(r.Stress)
	return nil
}

// SpotOf is the place in the mesh of a probe that is no feature. One outside the
// part is an error that names it.
func SpotOf(find *mesh.Locator, p *part.Probe) (Spot, error) {
	tri, b, ok := find.Find(p.At)
	if !ok {
		return Spot{}, fmt.Errorf("probe %q at (%.6g, %.6g) lies outside the part: move it inside or name a feature", p.Name, p.At.X, p.At.Y)
	}
	return Spot{Tri: tri, B: b}, nil
}

func (s *System) mostStressed(feature int, stress [][3]float64) int32 {
	nodes := s.outline.Nodes(feature)
	best := nodes[0]
	for _, n := range nodes {
		if material.Mises(stress[n]) > material.Mises(stress[best]) {
			best = n
		}
	}
	return best
}

// meanDisplacement is the mean along the feature's length.
func (s *System) meanDisplacement(feature int, u []float64) geom.Point {
	var sum geom.Point
	length := 0.0
	for _, i := range s.outline.Sides(feature) {
		b := s.elements.mesh.Boundary[i]
		for _, p := range s.outline.Places(i) {
			length += p.Length
			for k, n := range [3]int32{b.A, b.Mid, b.B} {
				sum = sum.Add(geom.Point{X: u[2*n], Y: u[2*n+1]}.Scale(p.Share[k] * p.Length))
			}
		}
	}
	return sum.Scale(1 / length)
}

// FeatureNodes returns the mesh nodes on a feature, ascending.
func (s *System) FeatureNodes(feature int) []int32 { return s.outline.Nodes(feature) }
