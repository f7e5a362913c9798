package proof

import (
	"math"
	"slices"

	"sinew/geom"
	"sinew/material"
	"sinew/strand"
)

// Stack is the pile of layers of the print at one place, as classical laminate
// theory sees it.
type Stack struct {
	At       geom.Point
	Why      string // what makes the place worth a look
	InPlane  material.Constants
	Flexural material.Constants
	Balance  material.Balance
	// Laminate is the pile about the middle of the part, Holds what each of its
	// layers is made of.
	Laminate *material.Laminate
	Holds    []Held
	// Warp of a free piece of this stack after Settings.CoolDown; Bow is its
	// rise over Span, the part's larger extent, were the stack the same
	// everywhere.
	Warp      material.Warp
	Bow, Span float64
}

// Held is what a layer of a pile is made of.
type Held struct {
	Composite int     // by index among the composite layers; -1: a plastic layer
	Rho       float64 // strands per mm that carry load; 0: plain plastic, a pocket too
}

// stackStride takes every so-manieth integration point when the most coupled
// stack is sought: one point in three elements.
const stackStride = 9

// stacks looks at the print's stack where the governing margin lies, where that
// of the beads does if it is another, and where stretching and bending are
// coupled most.
func (p *prover) stacks(pr *strand.Print, maps []LayerMap, d *Design) ([]Stack, error) {
	var list []Stack
	governing, _ := d.Governing()
	beads := d.leastOfBeads()
	for _, at := range []struct {
		m   *Margin
		why string
	}{{governing, "at the governing margin"}, {beads, "at the governing margin of the beads"}} {
		if at.m == nil || at.m == beads && governing.X == beads.X && governing.Y == beads.Y && len(list) > 0 {
			continue
		}
		point, _ := p.grid.Nearest(geom.Point{X: at.m.X, Y: at.m.Y})
		s, err := p.pileAt(pr, maps, point)
		if err != nil {
			return nil, err
		}
		s.Why = at.why
		list = append(list, s)
	}
	var most Stack
	for point := 0; point < p.n; point += stackStride {
		s, err := p.pileAt(pr, maps, point)
		if err != nil {
			return nil, err
		}
		if s.Balance.StretchBend > most.Balance.StretchBend {
			most = s
		}
	}
	if !most.Balance.Symmetric && most.Span > 0 {
		most.Why = "where stretching bends the part most"
		list = append(list, most)
	}
	return list, nil
}

func (p *prover) pileAt(pr *strand.Print, maps []LayerMap, point int) (Stack, error) {
	layers, holds, err := p.printedLayers(pr, maps, point)
	if err != nil {
		return Stack{}, err
	}
	l, err := material.NewLaminate(layers, 0)
	if err != nil {
		return Stack{}, err
	}
	box := p.in.Part.Region.Outer.Bounds()
	s := Stack{
		At: p.points[point], InPlane: l.InPlane(), Flexural: l.Flexural(), Balance: l.Balance(), Laminate: l, Holds: holds, Warp: l.Warp(p.set.CoolDown, 0),
		Span: math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y),
	}
	if s.Balance.Symmetric {
		s.Warp = material.Warp{} // what is left is rounding
	}
	s.Bow = math.Abs(material.Bow(s.Warp.Greatest, s.Span))
	return s, nil
}

// printedLayers piles up the print's layers at a point, bottom first, and says
// what they are made of.
func (p *prover) printedLayers(pr *strand.Print, maps []LayerMap, point int) ([]material.Layer, []Held, error) {
	plies := make([]material.Layer, len(maps)+1) // one material for each map, the plastic last
	made := make([]bool, len(plies))
	layers := make([]material.Layer, 0, len(pr.Layers))
	holds := make([]Held, 0, len(pr.Layers))
	for i := range pr.Layers {
		if !p.presence.at(pr.Layers[i].Z-pr.Layers[i].Height/2, point) {
			continue
		}
		at, y, held := len(maps), ply{plain: p.pocket}, Held{Composite: -1}
		if pr.Layers[i].Kind == strand.Composite {
			held.Composite = pr.Layers[i].Composite
			at = slices.IndexFunc(maps, func(m LayerMap) bool { return slices.Contains(m.Layers, pr.Layers[i].Composite) })
			y = ply{beads: &maps[at]}
			if y.beads.Covered(point) {
				held.Rho = y.beads.effective(point)
			}
		}
		if !made[at] {
			var err error
			if plies[at].Ply, plies[at].Theta, err = p.plyAt(&y, point); err != nil {
				return nil, nil, err
			}
			if at == len(maps) && p.in.CoverFill != nil {
				if plies[at].Ply, err = p.sparse(point); err != nil {
					return nil, nil, err
				}
			}
			made[at] = true
		}
		layer := plies[at]
		layer.Thickness = pr.Layers[i].Height
		layers, holds = append(layers, layer), append(holds, held)
	}
	return layers, holds, nil
}

// sparse is the material of plain layers over a point whose fill keeps a share
// of their stiffness and strength, their mean.
func (p *prover) sparse(point int) (*material.Ply, error) {
	volume, keeps := p.in.CoverFill(p.points[point])
	l, x := p.pocket.lamina, p.pocket.strength
	for _, v := range []*float64{&l.E1, &l.E2, &l.G12, &l.G13, &l.G23, &x.Xt, &x.Xc, &x.Yt, &x.Yc, &x.S} {
		*v *= keeps
	}
	l.Density *= volume
	return material.NewPly(l, x, material.Judge{})
}
