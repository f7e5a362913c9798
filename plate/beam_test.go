package plate

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

func isotropic(e, nu float64) material.Lamina {
	g := e / 2 / (1 + nu)
	return material.Lamina{E1: e, E2: e, Nu12: nu, G12: g, G13: g, G23: g}
}

// Beams of MacNeal & Harder, Finite Elem. Anal. Des. 1 (1985) 3, tables 3 and
// 4, clamped at one end and loaded by a unit at the other. Where the printed
// value is a coarse beam formula, the closed form it stands for is the measure
// and the printed one is kept beside it: the twist and the out-of-plane curved
// beam with Saint-Venant's torsion constant 0.2287·b·h³ of a 2:1 section
// (Timoshenko & Goodier, Theory of Elasticity, 1970, art. 109), the curved beam
// in its plane by elasticity (ibid., art. 33):
//
//	u = π·P·(a² + b²) / (E·t·(a² - b² + (a² + b²)·ln(b/a)))
func TestMacNealHarderBeams(t *testing.T) {
	straight := func(shaken float64) *mesh.Mesh {
		m := rectangle(24, 4, 6, 0.2)
		shake(m, shaken, 3)
		return m
	}
	curved := gridMesh(48, 8, func(s, u float64) geom.Point {
		sn, c := math.Sincos(math.Pi / 2 * (1 - s))
		r := 4.12 + 0.2*u
		return geom.Point{X: r * c, Y: r * sn}
	})
	flat, bent := isotropic(1e7, 0.3), isotropic(1e7, 0.25)
	for _, row := range []struct {
		name      string
		mesh      *mesh.Mesh
		lamina    material.Lamina
		load      part.Load
		want      float64
		component int
		tolerance float64
	}{
		{"extension", straight(0), flat, part.Load{Force: geom.Point{X: 1}}, 3e-5, dispU, 2e-3},
		{"in-plane shear", straight(0), flat, part.Load{Force: geom.Point{Y: 1}}, 0.1081, dispV, 3e-3},
		{"in-plane shear, shaken", straight(0.04), flat, part.Load{Force: geom.Point{Y: 1}}, 0.1081, dispV, 3e-3},
		{"out-of-plane shear", straight(0), flat, part.Load{Out: 1}, 0.4321, dispW, 5e-3},
		{"out-of-plane shear, shaken", straight(0.04), flat, part.Load{Out: 1}, 0.4321, dispW, 5e-3},
		{"twist", straight(0), flat, part.Load{Moment: geom.Point{X: 1}}, 0.034106, tiltY, 0.01},      // printed 0.03208,
		{"curved, in-plane", curved, bent, part.Load{Force: geom.Point{X: 1}}, 0.088566, dispU, 2e-3}, // printed 0.08734,
		{"curved, out-of-plane", curved, bent, part.Load{Out: 1}, 0.50045, dispW, 6e-3},               // printed 0.5022,
	} {
		row.load.Feature, row.load.Kind = right, part.Even
		p := &part.Part{
			Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left}},
			Cases: []part.Case{{Name: "tip", Factor: 1, Loads: []part.Load{row.load}}},
		}
		s := newSystem(t, row.mesh, p, Settings{})
		c := &solve(t, s, Homogeneous(row.lamina, 0.1)).Cases[0]
		got := 0.0
		nodes := s.outline.Nodes(right)
		for _, n := range nodes {
			got += math.Abs(c.D[5*int(n)+row.component]) / float64(len(nodes))
		}
		t.Logf("%s: %.5g (want %.5g)", row.name, got, row.want)
		if math.Abs(got-row.want) > row.tolerance*row.want {
			t.Errorf("%s: %g, want %g", row.name, got, row.want)
		}
	}
}
