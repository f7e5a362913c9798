package job

import "sinew/geom"

// Arrays is a view in flat arrays, as a drawing wants it.
type Arrays struct {
	Kind string
	Meta map[string]any // what the arrays do not say: titles, units, ranges
	List []Array
}

// Array is one array of it. Exactly one of the slices is set; Items of its
// numbers belong together.
type Array struct {
	Name  string
	Items int
	F32   []float32
	U32   []uint32
	U8    []uint8
}

// floats adds an array of numbers.
func (a *Arrays) floats(name string, items int, v []float32) {
	a.List = append(a.List, Array{Name: name, Items: items, F32: v})
}

// indices adds an array of indices.
func (a *Arrays) indices(name string, items int, v []uint32) {
	a.List = append(a.List, Array{Name: name, Items: items, U32: v})
}

// marks adds an array of small numbers.
func (a *Arrays) marks(name string, items int, v []uint8) {
	a.List = append(a.List, Array{Name: name, Items: items, U8: v})
}

// addPoint appends a point's coordinates.
func addPoint(to []float32, p geom.Point) []float32 {
	return append(to, float32(p.X), float32(p.Y))
}

func toFloats(v []float64) []float32 {
	out := make([]float32, len(v))
	for i, x := range v {
		out[i] = float32(x)
	}
	return out
}
