package strand

import (
	"context"
	"fmt"
	"math"

	"sinew/field"
	"sinew/geom"
	"sinew/printer"
)

// Island is one outline of a stretch of layers, in a part whose outline
// changes with height.
type Island struct {
	First, Last int         // layers of the whole stack
	Region      geom.Region // outline
	Composite   geom.Region // what strands may fill of it; within the lay-up's region
	// Layup, where given, holds the families' strands in this island; its layers
	// are those of the whole stack.
	Layup *field.Layup
}

// LayIslands is Lay for a part whose outline changes with height: each island
// takes its own lay-up's level lines, or those of the whole, in its own layers
// and area, and walls and covers of its own. Islands of a layer are printed one after the other. The
// stack must be filled by islands from layer to layer.
func LayIslands(ctx context.Context, l *field.Layup, c *printer.Card, s Settings, islands []Island) (*Print, error) {
	lim := limitsOf(c)
	s = s.withDefaults(l)
	layers, err := stack(len(l.Layers), lim, s)
	if err != nil {
		return nil, err
	}
	if s.Overhang == 0 {
		s.Overhang = lim.overhang
	}
	pr := &Print{Layers: layers, Region: s.Region, Composite: l.Region, SpacingMin: lim.least, SpacingMax: lim.most, BeadWidth: lim.fixed, Overhang: s.Overhang, Stagger: math.Max(0, s.Stagger)}
	for _, is := range islands {
		if is.First < 0 || is.Last >= len(layers) || is.First > is.Last {
			return nil, fmt.Errorf("an island of layers %d to %d in a stack of %d", is.First, is.Last, len(layers))
		}
	}
	air := newAir(layers, islands, lim, s)
	for _, is := range islands {
		s.bridges = air.bridges[is.First]
		if err := pr.addIsland(ctx, l, c, s, is); err != nil {
			b := is.Region.Bounds().Middle()
			return nil, fmt.Errorf("layers %d to %d at (%.4g, %.4g): %w", is.First, is.Last, b.X, b.Y, err)
		}
	}
	air.support(pr)
	pr.note()
	return pr, nil
}

// addIsland lays one island by itself and takes its layers over.
func (pr *Print) addIsland(ctx context.Context, l *field.Layup, c *printer.Card, s Settings, is Island) error {
	sub := *l
	if is.Layup != nil {
		sub = *is.Layup
	}
	sub.Region, sub.Layers = is.Composite, nil
	s.plan = geom.NewBoundary(s.Region)
	s.Region, s.Thickness, s.Bottom, s.Top = is.Region, 0, 0, 0
	if is.First > 0 {
		s.Grip = Grip{} // only what stands on the bed is held to it
	}
	for k := is.First; k <= is.Last; k++ {
		switch y := &pr.Layers[k]; {
		case y.Kind == Composite:
			sub.Layers = append(sub.Layers, l.Layers[y.Composite])
		case len(sub.Layers) == 0:
			s.Bottom++
		default:
			s.Top++
		}
	}
	own, err := Lay(ctx, &sub, c, s)
	if err != nil {
		return err
	}
	for i := range own.Layers {
		pr.Layers[is.First+i].absorb(&own.Layers[i], is)
	}
	return nil
}

// absorb adds an island's layer.
func (l *Layer) absorb(o *Layer, is Island) {
	l.Family, l.Shift = o.Family, o.Shift
	l.Strands = append(l.Strands, o.Strands...)
	l.Beads = append(l.Beads, o.Beads...)
	if o.droppedMost > l.droppedMost {
		l.DroppedAt, l.droppedMost = o.DroppedAt, o.droppedMost
	}
	l.Dropped += o.Dropped
	l.DroppedLength += o.DroppedLength
	l.Opened += o.Opened
	l.Turned += o.Turned
	l.Added += o.Added
	l.Pull, l.PullMissed = math.Max(l.Pull, o.Pull), math.Max(l.PullMissed, o.PullMissed)
	l.Pockets += o.Pockets
	l.Regions = append(l.Regions, is.Region)
	l.Areas = append(l.Areas, is.Composite)
}

func (pr *Print) regionsOf(l *Layer) []geom.Region {
	if l.Regions != nil {
		return l.Regions
	}
	return []geom.Region{pr.Region}
}

// widest is the greatest width of a bead.
func (pr *Print) widest() float64 {
	if pr.BeadWidth > 0 {
		return pr.BeadWidth
	}
	return pr.SpacingMax
}

// Halves returns how far the beads of a layer reach: HalfBeads in the layer's
// own areas.
func (pr *Print) Halves(l *Layer) []Halves {
	area := pr.Composite
	if l.Areas != nil {
		area = l.Areas[0]
		for _, a := range l.Areas[1:] { // only edges count, wherever they belong
			area.Holes = append(area.Holes[:len(area.Holes):len(area.Holes)], a.Loops()...)
		}
	}
	return HalfBeads(l.Strands, area, pr.widest())
}
