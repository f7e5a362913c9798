package job

import (
	"context"
	"math"
	"slices"
	"strings"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	plates "sinew/plate"
	"sinew/proof"
	"sinew/stress"
)

// FieldKind is a quantity that can be shown over the part.
type FieldKind struct {
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Unit     string   `json:"unit"`
	Diverges bool     `json:"diverges" doc:"zero is its middle"`
	Needs    []string `json:"needs" doc:"parameters that matter: case, layer, face; for an index case may be -1, the worst of all, and layer may be -1, the worst of all"`
}

// fieldKinds lists them.
func fieldKinds() []FieldKind {
	inCase, inLayer, both, atFace := []string{"case"}, []string{"layer"}, []string{"case", "layer"}, []string{"case", "layer", "face"}
	kinds := []FieldKind{
		{"index.worst", "index of whatever fails first", "1 = failure at the required load", false, both},
		{"index.fibre", "index of fibre failure", "1 = failure at the required load", false, both},
		{"index.matrix", "index of matrix failure", "1 = failure at the required load", false, both},
		{"stress.s1", "first principal stress, mean of the layers", "MPa", true, inCase},
		{"stress.s2", "second principal stress, mean of the layers", "MPa", true, inCase},
		{"stress.mises", "equivalent stress (von Mises), mean of the layers", "MPa", false, inCase},
		{"stress.11", "stress along x, mean of the layers", "MPa", true, inCase},
		{"stress.22", "stress along y, mean of the layers", "MPa", true, inCase},
		{"stress.12", "shear stress, mean of the layers", "MPa", true, inCase},
		{"strain.11", "strain along x", "1", true, inCase},
		{"strain.22", "strain along y", "1", true, inCase},
		{"strain.12", "shear strain (engineering)", "1", true, inCase},
		{"layer.fibre_stress", "stress along the strands", "MPa", true, atFace},
		{"layer.across_stress", "stress across the strands", "MPa", true, atFace},
		{"layer.shear_stress", "shear stress along and across the strands", "MPa", true, atFace},
		{"layer.share", "local tow share", "1", false, inLayer},
		{"layer.spacing", "distance of strands", "mm", false, inLayer},
		{"layer.angle", "direction of strands", "°", true, inLayer},
	}
	for _, name := range material.CriterionNames() {
		kinds = append(kinds, FieldKind{"index." + name, "index by the criterion " + name, "1 = failure at the required load", false, both})
	}
	return kinds
}

// FieldQuery chooses a field.
type FieldQuery struct {
	Quantity     string
	Design, Case int
	Layer        int // index of a printed layer, -1: all
	// Face is where in a layer's height a stress is meant, which matters where
	// the case bends the part: "bottom", "middle" or "top"; "": middle.
	Face string
}

// heights are the places in a layer's height.
var heights = map[string]plates.Height{"bottom": plates.AtBottom, "": plates.AtMiddle, "middle": plates.AtMiddle, "top": plates.AtTop}

// MeshView returns the mesh and its boundary.
func (v *Views) MeshView() *Arrays {
	m := v.mesh.Mesh
	a := &Arrays{Kind: "mesh", Meta: map[string]any{}}
	nodes := make([]float32, 0, 2*len(m.Nodes))
	for _, p := range m.Nodes {
		nodes = addPoint(nodes, p)
	}
	tris := make([]uint32, 0, 6*len(m.Tris))
	for _, t := range m.Tris {
		for _, n := range t {
			tris = append(tris, uint32(n))
		}
	}
	var boundary, loops []uint32
	for _, b := range m.Boundary {
		boundary = append(boundary, uint32(b.A), uint32(b.Mid), uint32(b.B))
		loops = append(loops, uint32(b.Loop))
	}
	a.floats("nodes", 2, nodes)
	a.indices("triangles", 6, tris)
	a.indices("boundary", 3, boundary)
	a.indices("boundary_loop", 1, loops)
	return a
}

// Principal returns the principal stress of a case in a sheet of one even
// material, before any design: where force flows.
func (v *Views) Principal(c int) (*Arrays, error) {
	if err := v.checkCase(c, 0); err != nil {
		return nil, err
	}
	p := v.mesh.Reference[c]
	a := &Arrays{Kind: "principal", Meta: map[string]any{"unit": "MPa", "case": v.job.in.part.Cases[c].Name}}
	var at []float32
	for _, q := range p.Points {
		at = addPoint(at, q)
	}
	a.floats("at", 2, at)
	a.floats("s1", 1, toFloats(p.S1))
	a.floats("s2", 1, toFloats(p.S2))
	a.floats("angle", 1, toFloats(p.Angle))
	return a, nil
}

// Field returns a quantity at the corners of every triangle, as at the
// integration point nearest to each; NaN where there is none.
func (v *Views) Field(ctx context.Context, q FieldQuery) (*Arrays, error) {
	values, kind, err := v.values(ctx, q)
	if err != nil {
		return nil, err
	}
	lo, hi := rangeOf(values)
	a := &Arrays{Kind: "field", Meta: map[string]any{"id": kind.ID, "title": kind.Title, "unit": kind.Unit, "diverges": kind.Diverges, "lo": lo, "hi": hi}}
	a.floats("values", stress.PointsPerTri, toFloats(values))
	return a, nil
}

// rangeOf returns the least and greatest number, 0 and 0 of none.
func rangeOf(values []float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range values {
		if x == x {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	if lo > hi {
		return 0, 0
	}
	return lo, hi
}

// values computes a quantity at the integration points.
func (v *Views) values(ctx context.Context, q FieldQuery) ([]float64, FieldKind, error) {
	i := slices.IndexFunc(fieldKinds(), func(k FieldKind) bool { return k.ID == q.Quantity })
	if i < 0 {
		return nil, FieldKind{}, noView("there is no quantity %q", q.Quantity)
	}
	kind := fieldKinds()[i]
	x, err := v.examine(ctx, q.Design)
	if err != nil {
		return nil, kind, err
	}
	least := 0
	if strings.HasPrefix(kind.ID, "index.") {
		least = -1
	}
	if slices.Contains(kind.Needs, "case") {
		if err := v.checkCase(q.Case, least); err != nil {
			return nil, kind, err
		}
	}
	plies, err := v.pliesAt(x, q.Layer)
	if err != nil {
		return nil, kind, err
	}
	group, part, _ := strings.Cut(kind.ID, ".")
	switch group {
	case "index":
		if which, err := material.ParseCriterion(part); err == nil {
			return criterionValues(x, plies, q.Case, which), kind, nil
		}
		return indexValues(x, plies, q.Case, part), kind, nil
	case "stress":
		return v.stressValues(x, q.Case, part), kind, nil
	case "strain":
		k := slices.Index([]string{"11", "22", "12"}, part)
		return pick(x.Solution.Cases[q.Case].Strain, k), kind, nil
	}
	if len(plies) != 1 {
		return nil, kind, noView("%s needs a layer", kind.ID)
	}
	at, ok := heights[q.Face]
	if !ok {
		return nil, kind, noView("there is no face %q of a layer", q.Face)
	}
	return v.layerValues(x, plies[0], layerFace{q.Layer, at}, q.Case, part), kind, nil
}

// layerFace is a place in the height of the part: in a printed layer.
type layerFace struct {
	layer int
	at    plates.Height
}

// pliesAt lists the kinds of layer that a printed layer belongs to: one, or
// all for -1.
func (v *Views) pliesAt(x *proof.Examination, layer int) ([]int, error) {
	if layer < 0 {
		return pliesOf(x, -1)
	}
	y, err := v.layer(layer)
	if err != nil {
		return nil, err
	}
	if y.Composite < 0 {
		return nil, noView("layer %d is plain plastic", layer)
	}
	return pliesOf(x, y.Composite)
}

// pliesOf lists the kinds of layer that a composite layer belongs to: one, or
// all for -1. A design that is not laid layer by layer counts its plies.
func pliesOf(x *proof.Examination, layer int) ([]int, error) {
	var all []int
	for k := range x.Plies() {
		all = append(all, k)
		b := x.Beads(k)
		if layer >= 0 && b != nil && (slices.Contains(b.Layers, layer) || len(b.Layers) == 0 && k == layer) {
			return []int{k}, nil
		}
	}
	if layer >= 0 {
		return nil, noView("this design has no composite layer %d", layer)
	}
	return all, nil
}

func pick(v [][3]float64, k int) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i][k]
	}
	return out
}

// indexValues returns the greatest index of the modes wanted over plies and
// cases (all for -1); NaN where none is judged.
func indexValues(x *proof.Examination, plies []int, c int, part string) []float64 {
	return greatest(x, plies, c, func(ply, c int, see func(p int, v float64)) {
		for _, f := range x.Indices(ply, c) {
			if !wantedMode(f.Mode, part) {
				continue
			}
			for p, m := range f.Mean {
				if f.Holds == nil || f.Holds[p] {
					see(p, m)
				}
			}
		}
	})
}

// criterionValues returns the greatest index by one criterion over plies and
// cases (all for -1); NaN where no bead is judged.
func criterionValues(x *proof.Examination, plies []int, c int, which material.Criterion) []float64 {
	return greatest(x, plies, c, func(ply, c int, see func(p int, v float64)) {
		for p, m := range x.Criterion(ply, c, which) {
			see(p, m)
		}
	})
}

// greatest keeps at each point the greatest of the values that tell lets it see,
// for each ply under case c, or all cases for -1; NaN where it sees none and
// where nothing is judged.
func greatest(x *proof.Examination, plies []int, c int, tell func(ply, c int, see func(p int, v float64))) []float64 {
	out := make([]float64, len(x.System.Points()))
	for i := range out {
		out[i] = math.NaN()
	}
	see := func(p int, v float64) {
		if !math.IsNaN(v) && !x.IsMasked(p) && !(out[p] >= v) {
			out[p] = v
		}
	}
	from, to := c, c+1
	if c < 0 {
		from, to = 0, len(x.Solution.Cases)
	}
	for c := from; c < to; c++ {
		for _, ply := range plies {
			tell(ply, c, see)
		}
	}
	return out
}

func wantedMode(m proof.Mode, part string) bool {
	switch part {
	case "fibre":
		return m == proof.FibreTension || m == proof.FibreCompression
	case "matrix":
		return m == proof.Matrix
	}
	return true
}

// stressValues returns the stress, mean of the layers.
func (v *Views) stressValues(x *proof.Examination, c int, part string) []float64 {
	all := x.System.Resultants(&x.Solution.Cases[c], x.Sheet)
	points := x.System.Points()
	out := make([]float64, len(all))
	for i, t := range all {
		for k := range t {
			t[k] /= v.job.in.part.ThicknessAt(points[i])
		}
		s1, s2, _ := stress.Principal(t)
		switch part {
		case "11":
			out[i] = t[0]
		case "22":
			out[i] = t[1]
		case "12":
			out[i] = t[2]
		case "s1":
			out[i] = s1
		case "s2":
			out[i] = s2
		case "mises":
			out[i] = math.Sqrt(s1*s1 - s1*s2 + s2*s2)
		}
	}
	return out
}

// layerStresses are the parts of a layer's stress, in its own axes.
var layerStresses = []string{"fibre_stress", "across_stress", "shear_stress"}

// layerValues returns what a kind of layer holds; NaN where no bead lies.
func (v *Views) layerValues(x *proof.Examination, ply int, f layerFace, c int, part string) []float64 {
	if k := slices.Index(layerStresses, part); k >= 0 {
		composite := -1
		if f.layer >= 0 {
			composite = v.lay.Print.Layers[f.layer].Composite
		}
		return pick(x.LayerStress(ply, composite, c, f.at), k)
	}
	b := x.Beads(ply)
	out := make([]float64, len(x.System.Points()))
	for p := range out {
		out[p] = math.NaN()
		if b == nil || !b.Covered(p) {
			continue
		}
		switch part {
		case "share":
			out[p] = v.job.in.law.Composition(b.Rho[p]).Tow
		case "spacing":
			out[p] = 1 / b.Rho[p]
		case "angle":
			out[p] = degrees(b.Angle(p))
		}
	}
	return out
}

// Displacement returns how far each node moves, mm.
func (v *Views) Displacement(ctx context.Context, design, c int) (*Arrays, error) {
	x, err := v.examine(ctx, design)
	if err == nil {
		err = v.checkCase(c, 0)
	}
	if err != nil {
		return nil, err
	}
	u := x.Solution.Cases[c].U
	greatest := 0.0
	for i := 0; i+1 < len(u); i += 2 {
		greatest = math.Max(greatest, math.Hypot(u[i], u[i+1]))
	}
	a := &Arrays{Kind: "displacement", Meta: map[string]any{"unit": "mm", "greatest_mm": greatest}}
	a.floats("u", 2, toFloats(u))
	return a, nil
}

// find locates a point in the mesh: the triangle, its coordinates, and the
// integration point whose corner is nearest.
func (v *Views) find(p geom.Point) (tri int, b [3]float64, point int, ok bool) {
	v.mu.Lock()
	if v.locator == nil {
		v.locator = mesh.NewLocator(v.mesh.Mesh)
	}
	l := v.locator
	v.mu.Unlock()
	if tri, b, ok = l.Find(p); !ok {
		return 0, b, 0, false
	}
	k := 0
	for i := range b {
		if b[i] > b[k] {
			k = i
		}
	}
	return tri, b, stress.PointsPerTri*tri + k, true
}
