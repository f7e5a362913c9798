package job

import (
	"context"
	"math"

	"sinew/geom"
	"sinew/mesh"
	plates "sinew/plate"
	"sinew/proof"
	"sinew/stress"
)

// PlaceView is what holds at one point of the part under one case.
type PlaceView struct {
	Inside   bool        `json:"inside" doc:"the point lies in the part; nothing else holds otherwise"`
	X        float64     `json:"x_mm"`
	Y        float64     `json:"y_mm"`
	Triangle int         `json:"triangle"`
	U        [2]float64  `json:"displacement_mm"`
	Strain   [3]float64  `json:"strain" doc:"11, 22, engineering 12"`
	Stress   [3]float64  `json:"stress_MPa" doc:"11, 22, 12, mean of the layers"`
	S1       float64     `json:"s1_MPa"`
	S2       float64     `json:"s2_MPa"`
	AngleDeg float64     `json:"angle_deg" doc:"of the first principal stress"`
	Layers   []LayerHere `json:"layers" doc:"what the kinds of layer hold here"`
}

// LayerHere is one kind of layer at the point.
type LayerHere struct {
	Composite []int         `json:"composite_layers" doc:"empty for plain plastic"`
	Covered   bool          `json:"covered" doc:"a strand lies here"`
	AngleDeg  float64       `json:"angle_deg"`
	SpacingMM float64       `json:"spacing_mm"`
	Share     float64       `json:"tow_share"`
	Along     float64       `json:"strand_stress_MPa"`
	Reserves  []ReserveHere `json:"reserves"`
}

// ReserveHere is the reserve factor of one mode at the point.
type ReserveHere struct {
	Mode    string  `json:"mode"`
	Reserve float64 `json:"reserve_factor"`
}

// At tells what holds at a point.
func (v *Views) At(ctx context.Context, at geom.Point, design, c int) (*PlaceView, error) {
	x, err := v.examine(ctx, design)
	if err == nil {
		err = v.checkCase(c, 0)
	}
	if err != nil {
		return nil, err
	}
	out := &PlaceView{X: at.X, Y: at.Y, Layers: []LayerHere{}}
	tri, b, p, ok := v.find(at)
	if !ok {
		return out, nil
	}
	out.Inside, out.Triangle = true, tri
	sol := &x.Solution.Cases[c]
	shape := mesh.Shape(b)
	for i, n := range v.mesh.Mesh.Tris[tri] {
		out.U[0] += shape[i] * sol.U[2*n]
		out.U[1] += shape[i] * sol.U[2*n+1]
	}
	out.Strain = sol.Strain[p]
	out.Stress = x.System.Resultants(sol, x.Sheet)[p]
	for k := range out.Stress {
		out.Stress[k] /= v.job.in.part.ThicknessAt(x.System.Points()[p])
	}
	s1, s2, angle := stress.Principal(out.Stress)
	out.S1, out.S2, out.AngleDeg = s1, s2, degrees(angle)
	for ply := range x.Plies() {
		out.Layers = append(out.Layers, v.layerHere(x, ply, c, p))
	}
	return out, nil
}

func (v *Views) layerHere(x *proof.Examination, ply, c, p int) LayerHere {
	h := LayerHere{Composite: []int{}, Reserves: []ReserveHere{}}
	if b := x.Beads(ply); b != nil {
		h.Composite = append(h.Composite, b.Layers...)
		if h.Covered = b.Covered(p); h.Covered {
			h.AngleDeg, h.SpacingMM = degrees(b.Angle(p)), 1/b.Rho[p]
			h.Share = v.job.in.law.Composition(b.Rho[p]).Tow
			h.Along = x.LayerStress(ply, -1, c, plates.AtMiddle)[p][0]
		}
	}
	for _, f := range x.Indices(ply, c) {
		if m := f.Mean[p]; (f.Holds == nil || f.Holds[p]) && m > 0 && !x.IsMasked(p) {
			h.Reserves = append(h.Reserves, ReserveHere{string(f.Mode), math.Min(1/m, maxReserve)})
		}
	}
	return h
}

// SectionView is a quantity along a straight line.
type SectionView struct {
	Title  string     `json:"title"`
	Unit   string     `json:"unit"`
	S      []float64  `json:"s_mm" doc:"distance from the first point"`
	Values []*float64 `json:"values" doc:"null outside the part and where there is none"`
}

// Section reads a quantity at n points of the line from a to b.
func (v *Views) Section(ctx context.Context, a, b geom.Point, n int, q FieldQuery) (*SectionView, error) {
	values, kind, err := v.values(ctx, q)
	if err != nil {
		return nil, err
	}
	out := &SectionView{Title: kind.Title, Unit: kind.Unit, S: []float64{}, Values: []*float64{}}
	for i := range n {
		t := float64(i) / float64(n-1)
		out.S = append(out.S, t*a.Dist(b))
		var here *float64
		if _, _, p, ok := v.find(a.Lerp(b, t)); ok && !math.IsNaN(values[p]) {
			here = &values[p]
		}
		out.Values = append(out.Values, here)
	}
	return out, nil
}
