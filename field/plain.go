package field

// plain is a family without strands: none of its elements is active, so that
// plastic fills its layers from edge to edge.
func (f *fitter) plain(r *Request) Family {
	m := f.space.m
	return Family{Name: r.Name, Kind: Plain, Mesh: m, Phase: make([]float64, len(m.Nodes)), Active: make([]bool, len(m.Tris))}
}
