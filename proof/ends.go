package proof

import (
	"math"

	"sinew/geom"
	"sinew/strand"
)

// Ends tells how long the most loaded cut end of a strand needs to hand its
// force to the layers over and under it, by interlaminar shear.
type Ends struct {
	// Need is the length, mm, at which the mean shear on both faces of the bead
	// reaches the interlaminar shear strength under the required load:
	// sigma1·h/(2·Sis). It is a mean: shear peaks at the very end (Volkersen).
	Need    float64
	Stress  float64 // along the strand where it would run on, MPa
	At      geom.Point
	Layer   int // composite layer
	Case    int
	Reserve float64 // Settings.Transfer over Need; 0 where no length is stated
}

// ends looks at every cut end of the print under all cases; nil where no
// strand ends.
func (j *judge) ends(pr *strand.Print, maps []LayerMap, states []*state) *Ends {
	var worst *Ends
	for m := range maps {
		b := &maps[m]
		for _, at := range endsOf(pr, b) {
			p, _ := j.grid.Nearest(at)
			if !b.Covered(p) || j.masked[p] {
				continue
			}
			for i, c := range states {
				if e := j.end(b, p, c); worst == nil || e.Need > worst.Need {
					e.At, e.Layer, e.Case = at, b.Layers[0], i
					worst = &e
				}
			}
		}
	}
	return worst
}

func (j *judge) end(b *LayerMap, p int, c *state) Ends {
	rho := b.Rho[p]
	e := j.layerStrain(b, p, c)
	stress := math.Abs(e[0]) * j.in.Law.Lamina(rho).E1
	out := Ends{Stress: stress, Need: stress * b.Height / (2 * j.in.Law.Strength(rho).Sis)}
	if j.set.Transfer > 0 && out.Need > 0 {
		out.Reserve = j.set.Transfer / out.Need
	}
	return out
}

// endsOf lists both ends of the open strands of the first layer that a map
// stands for.
func endsOf(pr *strand.Print, b *LayerMap) []geom.Point {
	var list []geom.Point
	for i := range pr.Layers {
		l := &pr.Layers[i]
		if l.Kind != strand.Composite || l.Composite != b.Layers[0] {
			continue
		}
		for k := range l.Strands {
			if s := &l.Strands[k]; !s.Closed && len(s.Points) > 0 {
				list = append(list, s.Points[0], s.Points[len(s.Points)-1])
			}
		}
	}
	return list
}
