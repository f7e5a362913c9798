package job

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sinew/field"
	"sinew/proof"
	"sinew/stress"
)

// OrderRecord is what a search for the order of layers found.
type OrderRecord struct {
	Tried     int       `json:"tried" jsonschema_description:"orders analysed"`
	Objective []float64 `json:"objective" jsonschema_description:"of the usual order, and after each exchange that helped: the logarithm of the greatest index of failure or buckling, each by what is required of it"`
	Order     []string  `json:"order" jsonschema_description:"families, bottom to top"`
}

// flexShare is what flexibility counts beside the demand that governs an order:
// enough to break ties.
const flexShare = 0.05

// orderMatters reports whether an analysis of the job depends on the order of
// layers.
func (j *Job) orderMatters() bool {
	a := &j.file.Analysis
	return a.Bending || a.Buckling > 0 || slices.ContainsFunc(j.file.Cases, func(c CaseTable) bool {
		return c.actsAcross() || slices.ContainsFunc(c.Loads, func(l LoadTable) bool { return l.actsAcross() })
	})
}

// findOrder searches the order of the layers where a search is asked for and
// the part bends, restacks the lay-up and reports whether it changed. A part
// whose outline changes with height keeps the usual order: there the order says
// which layers end.
func (j *Job) findOrder(ctx context.Context, m meshed, sys *stress.System, out *laid, next *resumed) (changed bool, err error) {
	t := j.file.Layup.Search
	if t == nil || !j.orderMatters() || len(j.in.part.Slabs) > 0 {
		return false, nil
	}
	counts := make([]int, len(out.Layup.Families))
	for _, y := range out.Layup.Layers {
		counts[y.Family]++
	}
	var warm proven // its notes come with the proof
	in, err := j.proofInput(m, *out, &warm)
	if err != nil {
		return false, err
	}
	in.System = sys
	if in.Plate.Buckling > 0 {
		in.Plate.Buckling, in.Plate.Large = 1, false
	}
	orders, err := proof.NewOrders(ctx, in, j.required(""), j.required(string(proof.Matrix)))
	if err != nil {
		return false, err
	}
	need := 1.0
	if v := j.file.Require.Buckling; v != nil {
		need = *v
	}
	tried := 0
	found, err := field.FindOrder(counts, field.OrderSettings{Unsymmetric: t.Unsymmetric, Stop: j.opt.Stop, Worth: func(order []int) (float64, error) {
		tried++
		j.tell(fmt.Sprintf("order of layers, trial %d", tried), 0.6)
		demand, flexibility, err := orders.Demand(order, need)
		return math.Log(math.Max(leastDemand, demand)) + flexShare*flexibility, err
	}})
	if err != nil {
		return false, err
	}
	next.Unordered = found.Stopped
	rec := &OrderRecord{Tried: found.Tried, Objective: found.Worth}
	for _, k := range found.Order {
		rec.Order = append(rec.Order, out.Layup.Families[k].Name)
	}
	out.Mix.Order = rec
	out.Notes = append(out.Notes, fmt.Sprintf("order of the layers: %d tried; objective %.3f, in the usual order %.3f", rec.Tried, rec.Objective[len(rec.Objective)-1], rec.Objective[0]))
	if len(found.Worth) == 1 {
		return false, nil
	}
	out.Layup.Restack(found.Order)
	return true, nil
}

// leastDemand keeps the logarithm finite where nothing loads the part.
const leastDemand = 1e-9
