package strand

import (
	"fmt"

	"sinew/geom"
)

// Grip is what is laid beside the part on the bed, with its first layer. Both
// are broken off.
type Grip struct {
	// Border is the number of beads laid against the outline, from outside
	// inwards, that hold the part down.
	Border int
	// Ring, where above 0, is the distance from the part of a bead around it that
	// is laid first of all, so that the nozzle flows when it comes to the part.
	Ring float64
}

// reach is how far it lies beside the part, mm.
func (g Grip) reach(width float64) float64 {
	r := float64(g.Border) * width
	if g.Ring > 0 && g.Ring+width > r {
		r = g.Ring + width
	}
	return r
}

// Reach returns how far the print lies beside the part on the bed, mm, with
// plain beads of a width.
func (g Grip) Reach(width float64) float64 { return g.reach(width) }

// beads returns the ring, then the border from the outside inwards. Holes of
// the part stay free.
func (g Grip) beads(r geom.Region, width float64) ([]Bead, error) {
	outline := geom.Polygons{r.Outer.Flatten(flattenWalls)}
	around := func(d float64) []Bead {
		var out []Bead
		for _, p := range outline.Offset(d, flattenWalls) {
			if p.Area() > 0 {
				out = append(out, Bead{Kind: Border, Points: p, Closed: true, Width: width})
			}
		}
		return out
	}
	if g.Ring > 0 && g.Ring < float64(g.Border)*width {
		return nil, fmt.Errorf("a ring %.3g mm from the part lies in its border of %d beads; move it out to %.3g mm or more", g.Ring, g.Border, float64(g.Border)*width)
	}
	var out []Bead
	if g.Ring > 0 {
		out = around(g.Ring + width/2)
	}
	for k := g.Border - 1; k >= 0; k-- {
		out = append(out, around((float64(k)+0.5)*width)...)
	}
	return out, nil
}
