package plate

import (
	"sinew/material"
	"sinew/mesh"
	"sinew/stress"
)

// Reading is what a probe of the part tells under one case.
type Reading struct {
	Across float64 // deflection w, mm; mean along a feature
	// Faces is the strain along the probe's angle at the lowest and the highest
	// face there, as a strain gauge reads it; zero on a feature.
	Faces [2]float64
}

// Probes reads all probes of the part, by case and probe. A probe outside the
// part is an error that names it.
func (s *System) Probes(sol *Solution, stack *Stack) ([][]Reading, error) {
	out := make([][]Reading, len(sol.Cases))
	for k := range out {
		out[k] = make([]Reading, len(s.part.Probes))
	}
	if len(s.part.Probes) == 0 {
		return out, nil
	}
	find := mesh.NewLocator(s.elements.mesh)
	for i := range s.part.Probes {
		probe := &s.part.Probes[i]
		if probe.Feature >= 0 {
			for k := range out {
				out[k][i].Across = s.Deflections(&sol.Cases[k], probe.Feature)[dispW]
			}
			continue
		}
		at, err := stress.SpotOf(find, probe)
		if err != nil {
			return nil, err
		}
		faces := stack.faces(stress.PointsPerTri * at.Tri)
		for k := range out {
			c, r := &sol.Cases[k], &out[k][i]
			for n, share := range mesh.Shape(at.B) {
				r.Across += share * c.D[dofsPerNode*int(s.elements.mesh.Tris[at.Tri][n])+dispW]
			}
			e := s.StrainAt(c, []stress.Spot{at})[0]
			for f, z := range faces {
				r.Faces[f] = material.TurnStrain([3]float64{e[0] + z*e[3], e[1] + z*e[4], e[2] + z*e[5]}, probe.Angle)[0]
			}
		}
	}
	return out, nil
}

// faces returns the lowest and the highest height of the layers that are there
// at a point.
func (s *Stack) faces(p int) (z [2]float64) {
	first := true
	for i := range s.Layers {
		low, high := s.Layers[i].height(p, AtBottom), s.Layers[i].height(p, AtTop)
		if high <= low {
			continue
		}
		if first {
			z, first = [2]float64{low, high}, false
		}
		z = [2]float64{min(z[0], low), max(z[1], high)}
	}
	return z
}
