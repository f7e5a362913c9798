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
	// Warp of a free piece of this stack after Settings.CoolDown; Bow is its
	// rise over Span, the part's larger extent, were the stack the same
	// everywhere.
	Warp      material.Warp
	Bow, Span float64
}

// stackStride takes every so-manieth integration point when the most coupled
// stack is sought: one point in three elements.
const stackStride = 9

// stacks looks at the print's stack where the governing margin lies and where
// stretching and bending are coupled most.
func (p *prover) stacks(pr *strand.Print, maps []LayerMap, governing *Margin) ([]Stack, error) {
	var list []Stack
	if governing != nil {
		point, _ := p.grid.Nearest(geom.Point{X: governing.X, Y: governing.Y})
		s, err := p.pileAt(pr, maps, point)
		if err != nil {
			return nil, err
		}
		s.Why = "at the governing margin"
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
	layers, err := p.printedLayers(pr, maps, point)
	if err != nil {
		return Stack{}, err
	}
	l, err := material.NewLaminate(layers, 0)
	if err != nil {
		return Stack{}, err
	}
	box := p.in.Part.Region.Outer.Bounds()
	s := Stack{
		At: p.points[point], InPlane: l.InPlane(), Flexural: l.Flexural(), Balance: l.Balance(), Warp: l.Warp(p.set.CoolDown, 0),
		Span: math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y),
	}
	if s.Balance.Symmetric {
		s.Warp = material.Warp{} // what is left is rounding
	}
	s.Bow = math.Abs(material.Bow(s.Warp.Greatest, s.Span))
	return s, nil
}

// printedLayers piles up the print's layers at a point, bottom first.
func (p *prover) printedLayers(pr *strand.Print, maps []LayerMap, point int) ([]material.Layer, error) {
	plies := make([]material.Layer, len(maps)+1) // one material for each map, the plastic last
	made := make([]bool, len(plies))
	layers := make([]material.Layer, 0, len(pr.Layers))
	for i := range pr.Layers {
		if !p.presence.at(pr.Layers[i].Z-pr.Layers[i].Height/2, point) {
			continue
		}
		at, y := len(maps), ply{plain: p.pocket}
		if pr.Layers[i].Kind == strand.Composite {
			at = slices.IndexFunc(maps, func(m LayerMap) bool { return slices.Contains(m.Layers, pr.Layers[i].Composite) })
			y = ply{beads: &maps[at]}
		}
		if !made[at] {
			var err error
			if plies[at].Ply, plies[at].Theta, err = p.plyAt(&y, point); err != nil {
				return nil, err
			}
			made[at] = true
		}
		layer := plies[at]
		layer.Thickness = pr.Layers[i].Height
		layers = append(layers, layer)
	}
	return layers, nil
}
