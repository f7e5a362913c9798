package job

import (
	"context"
	"math"
)

const stageFit = "fit"

// Squares of the build-up.
const (
	buildUpCell  = 0.25 // mm: a third of a bead's width or so
	buildUpReach = 0.75 // mm to either side: what an ironing nozzle levels out
)

// fitted is the kept result of the fit stage: how the beads fill the layers.
type fitted struct {
	Record  FitRecord
	BuildUp []float64 // per element of the mesh, mm; NaN: none
}

// FitRecord tells how the beads of the print fill its layers.
type FitRecord struct {
	Layers  []LayerFit `json:"layers" jsonschema_description:"one of each kind of composite layer, by exact areas"`
	BuildUp [3]float64 `json:"build_up" jsonschema_description:"where beads lie on one another most, all layers together, mean over 1.5 mm: mm over the layers' heights, x_mm, y_mm"`
	Hollow  [3]float64 `json:"hollow" jsonschema_description:"where least lies, likewise: mm, below 0 for gaps, x_mm, y_mm"`
}

// LayerFit is one layer and those like it.
type LayerFit struct {
	Layers       []int   `json:"layers" jsonschema_description:"from 0, bottom to top"`
	Family       string  `json:"family"`
	GapMM2       float64 `json:"gap_mm2" jsonschema_description:"area under no bead"`
	GapShare     float64 `json:"gap_share" jsonschema_description:"of the layer's area"`
	OverlapMM2   float64 `json:"overlap_mm2" jsonschema_description:"area under two beads or more"`
	OverlapShare float64 `json:"overlap_share" jsonschema_description:"of the layer's area"`
}

// addFit measures how the print fills its layers.
func (j *Job) addFit(ctx context.Context, r *Results, m meshed, l laid, layKey key) error {
	j.tell("gaps and overlaps", 0.88)
	f, err := once(j, stageFit, keyOf(stageFit, layKey), func() (fitted, error) { return j.makeFit(ctx, r, m, l) })
	if err != nil {
		return err
	}
	r.Record.Fit, r.BuildUp = &f.Record, f.BuildUp
	return nil
}

func (j *Job) makeFit(ctx context.Context, r *Results, m meshed, l laid) (fitted, error) {
	var out fitted
	for _, g := range r.LayerGroups {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		y := &l.Print.Layers[g.Layers[0]]
		a := l.Print.Areas(y)
		out.Record.Layers = append(out.Record.Layers, LayerFit{
			Layers: g.Layers, Family: l.Layup.Families[y.Family].Name,
			GapMM2: a.Gap, GapShare: a.Gap / a.Inside, OverlapMM2: a.Overlap, OverlapShare: a.Overlap / a.Inside,
		})
	}
	b := l.Print.BuildUp(buildUpCell)
	high, low, up, down := b.Most(buildUpReach)
	out.Record.BuildUp, out.Record.Hollow = [3]float64{high, up.X, up.Y}, [3]float64{low, down.X, down.Y}
	out.BuildUp = make([]float64, len(m.Mesh.Tris))
	for t := range out.BuildUp {
		v, ok := b.Mean(m.Mesh.At(t, [3]float64{1. / 3, 1. / 3, 1. / 3}), buildUpReach)
		if !ok {
			v = math.NaN()
		}
		out.BuildUp[t] = v
	}
	return out, nil
}
