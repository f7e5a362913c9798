package proof

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sinew/strand"
)

// Orders judges a print with its composite layers in other orders, as the plate
// that bends.
type Orders struct {
	p       *prover
	maps    []LayerMap
	layers  [][]int // composite layers of each family, bottom first
	fibre   float64
	between float64
}

// NewOrders prepares it. needFibre and needMatrix are the reserve factors that
// fibre, and matrix and plastic, must reach; in.Plate says which cases bend, and
// whether buckling counts.
func NewOrders(ctx context.Context, in Input, needFibre, needMatrix float64) (*Orders, error) {
	p, _, err := newProver(ctx, &in)
	if err != nil {
		return nil, err
	}
	o := &Orders{p: p, fibre: needFibre, between: needMatrix, maps: AsPrinted(in.Print, in.Part, p.points, p.set.Transfer, p.workers)}
	for i := range in.Print.Layers {
		y := &in.Print.Layers[i]
		if y.Kind != strand.Composite {
			continue
		}
		for len(o.layers) <= y.Family {
			o.layers = append(o.layers, nil)
		}
		o.layers[y.Family] = append(o.layers[y.Family], y.Composite)
	}
	return o, nil
}

// Demand returns what an order of families, bottom to top, comes to: the
// greatest index of failure over all cases that bend, each by the reserve that
// is required, and the reciprocal of the least buckling factor over needBuckling
// where buckling is asked for; above 1 something is missed. flexibility is the
// mean of half the logarithm of the cases' energy.
func (o *Orders) Demand(order []int, needBuckling float64) (demand, flexibility float64, err error) {
	plies := o.p.pliesOf(o.placed(order))
	b, err := o.p.bend(plies)
	if err != nil {
		return 0, 0, err
	}
	for c := range b.solution.Cases {
		flexibility += math.Log(math.Max(unloaded, b.solution.Cases[c].Energy)) / 2 / float64(len(b.solution.Cases))
		if b.is(c) {
			demand = math.Max(demand, o.index(plies, c, b))
		}
		if o.p.in.Plate.Buckling == 0 {
			continue
		}
		modes, err := o.p.buckling(b, c)
		if err != nil {
			return 0, 0, fmt.Errorf("buckling under case %q: %w", o.p.in.Part.Cases[c].Name, err)
		}
		if len(modes) > 0 {
			demand = math.Max(demand, needBuckling/modes[0].Value)
		}
	}
	return demand, flexibility, nil
}

// index is the greatest of a bent case, by what is required.
func (o *Orders) index(plies []ply, c int, b *bent) float64 {
	worst := 0.0
	for i := range plies {
		for _, f := range o.p.caseFields(plies, i, c, nil, b) {
			need := o.between
			if f.mode == FibreTension || f.mode == FibreCompression {
				need = o.fibre
			}
			for _, v := range o.p.mean(&f) {
				worst = math.Max(worst, need*v)
			}
		}
	}
	return worst
}

// placed returns the maps with their layers where an order has them: the layers
// of a family keep the order among themselves.
func (o *Orders) placed(order []int) []LayerMap {
	at := make([]int, len(order)) // where each layer of the print comes to lie
	used := make([]int, len(o.layers))
	for k, f := range order {
		at[o.layers[f][used[f]]] = k
		used[f]++
	}
	out := slices.Clone(o.maps)
	for i := range out {
		list := slices.Clone(out[i].Layers)
		for k := range list {
			list[k] = at[list[k]]
		}
		slices.Sort(list)
		out[i].Layers = list
	}
	return out
}
