package stress

import "sinew/geom"

// Disc averages values at integration points over a disc around each point.
// Where the part's edge cuts the disc, or masked points lie in it, the mean is
// over what is left. It is immutable and may be shared.
//
// Failure is judged by such means because the peak itself depends on the mesh
// wherever the material changes over a length shorter than an element, and
// because a bead does not fail at a point: the distance is a property of the
// material in the sense of Whitney & Nuismer, J. Compos. Mater. 8 (1974) 253.
type Disc struct {
	start  []int
	member []int32
	weight []float64
	total  []float64 // weight of each disc
}

// NewDisc returns the averaging operator over points that stand for areas
// (weights). A radius of 0 leaves values as they are.
func NewDisc(points []geom.Point, weights []float64, radius float64) *Disc {
	return NewMaskedDisc(points, weights, radius, nil)
}

// NewMaskedDisc is NewDisc without the points for which masked is true: they
// have no mean (zero) and enter none.
func NewMaskedDisc(points []geom.Point, weights []float64, radius float64, masked []bool) *Disc {
	d := &Disc{start: make([]int, 1, len(points)+1), weight: weights, total: make([]float64, len(points))}
	grid := geom.NewGrid(points)
	isMasked := func(i int) bool { return masked != nil && masked[i] }
	for i, p := range points {
		switch {
		case isMasked(i):
		case radius <= 0:
			d.member = append(d.member, int32(i))
			d.total[i] = weights[i]
		default:
			grid.Within(p, radius, func(j int) bool {
				if !isMasked(j) {
					d.member = append(d.member, int32(j))
					d.total[i] += weights[j]
				}
				return true
			})
		}
		d.start = append(d.start, len(d.member))
	}
	return d
}

// Mean returns the mean of the values over the disc around each point.
func (d *Disc) Mean(values []float64) []float64 {
	out := make([]float64, len(values))
	d.MeanTo(out, values)
	return out
}

// MeanTo is Mean into out, which must not be values.
func (d *Disc) MeanTo(out, values []float64) {
	for i := range out {
		sum := 0.0
		for _, j := range d.member[d.start[i]:d.start[i+1]] {
			sum += d.weight[j] * values[j]
		}
		if d.total[i] > 0 {
			sum /= d.total[i]
		}
		out[i] = sum
	}
}

// Around returns the points whose values make the mean at a point, and the
// weight of each; nil where it is masked.
func (d *Disc) Around(point int) (members []int32, weight func(member int32) float64) {
	return d.member[d.start[point]:d.start[point+1]], func(m int32) float64 { return d.weight[m] }
}

// Adjoint returns the transpose of Mean applied to g: the derivative by the
// values of a function whose derivative by their means is g.
func (d *Disc) Adjoint(g []float64) []float64 {
	out := make([]float64, len(g))
	for i, v := range g {
		if v == 0 || d.total[i] == 0 {
			continue
		}
		for _, j := range d.member[d.start[i]:d.start[i+1]] {
			out[j] += d.weight[j] * v / d.total[i]
		}
	}
	return out
}

// IsMasked reports whether a point has no mean.
func (d *Disc) IsMasked(point int) bool { return d.total[point] == 0 }
