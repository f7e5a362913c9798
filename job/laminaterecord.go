package job

import (
	"math"
	"slices"

	"sinew/material"
)

// LaminateRecord is a pile of layers by classical laminate theory. Stiffness
// terms have the order 11, 12, 16, 22, 26, 66; vectors 11, 22, 12; angles run
// from x.
type LaminateRecord struct {
	ThicknessMM    float64           `json:"thickness_mm"`
	Ex             float64           `json:"Ex_MPa" jsonschema_description:"kept flat"`
	Ey             float64           `json:"Ey_MPa"`
	Gxy            float64           `json:"Gxy_MPa"`
	Nuxy           float64           `json:"nuxy"`
	ExFree         float64           `json:"Ex_free_MPa" jsonschema_description:"free to bend as it is pulled"`
	EyFree         float64           `json:"Ey_free_MPa"`
	ExBend         float64           `json:"Ex_bending_MPa"`
	EyBend         float64           `json:"Ey_bending_MPa"`
	Symmetric      bool              `json:"symmetric"`
	Balanced       bool              `json:"balanced"`
	Couplings      string            `json:"couplings"`
	A              [6]float64        `json:"A_N_mm"`
	B              [6]float64        `json:"B_N"`
	D              [6]float64        `json:"D_N_mm"`
	Shear          [3]float64        `json:"transverse_shear_N_mm" jsonschema_description:"44, 45, 55, with the factor 5/6"`
	ThermalForce   [3]float64        `json:"thermal_force_N_mm_K" jsonschema_description:"of the stack fully held, for each kelvin"`
	ThermalMoment  [3]float64        `json:"thermal_moment_N_K"`
	WetForce       [3]float64        `json:"moisture_force_N_mm" jsonschema_description:"for each mass share of water"`
	WetMoment      [3]float64        `json:"moisture_moment_N"`
	Expansion      [3]float64        `json:"expansion_per_K" jsonschema_description:"of the free stack"`
	ExpansionBends [3]float64        `json:"expansion_bends_per_mm_K"`
	Membrane       []float64         `json:"lamination_membrane,omitempty" jsonschema_description:"means of cos 2θ, sin 2θ, cos 4θ, sin 4θ over the thickness; left out where layers are of different materials"`
	Bending        []float64         `json:"lamination_bending,omitempty" jsonschema_description:"the same, weighted by 12 z²/h²"`
	Layers         []StackLayerEntry `json:"layers" jsonschema_description:"bottom first"`
}

// StackLayerEntry is one layer of a pile.
type StackLayerEntry struct {
	Holds       string     `json:"holds"`
	AngleDeg    float64    `json:"angle_deg"`
	BottomMM    float64    `json:"bottom_mm" jsonschema_description:"above the reference plane"`
	ThicknessMM float64    `json:"thickness_mm"`
	FibreShare  float64    `json:"dry_fibre_share"`
	E1          float64    `json:"E1_MPa"`
	E2          float64    `json:"E2_MPa"`
	G12         float64    `json:"G12_MPa"`
	Nu12        float64    `json:"nu12"`
	Invariants  [5]float64 `json:"invariants_MPa" jsonschema_description:"U1 to U5 of the layer's stiffness"`
}

// laminateRecord describes a pile; entry says what a layer holds and its share
// of dry fibre.
func laminateRecord(l *material.Laminate, entry func(layer int) (holds string, fibre float64)) LaminateRecord {
	flat, free, bend, balance := l.InPlane(), l.Free(), l.Flexural(), l.Balance()
	out := LaminateRecord{
		ThicknessMM: l.Thickness, Ex: flat.Ex, Ey: flat.Ey, Gxy: flat.Gxy, Nuxy: flat.Nuxy, ExFree: free.Ex, EyFree: free.Ey, ExBend: bend.Ex, EyBend: bend.Ey,
		Symmetric: balance.Symmetric, Balanced: balance.Balanced, Couplings: balance.String(),
		A: l.Stiff.A, B: l.Stiff.B, D: l.Stiff.D, Shear: l.Shear,
		ThermalForce: l.ThermalForce, ThermalMoment: l.ThermalMoment, WetForce: l.MoistureForce, WetMoment: l.MoistureMoment,
		Layers: make([]StackLayerEntry, len(l.Layers)),
	}
	out.Expansion, out.ExpansionBends = l.Expansion()
	if one := l.Layers[0].Ply.Lamina; !slices.ContainsFunc(l.Layers, func(y material.Layer) bool { return y.Ply.Lamina != one }) {
		membrane, bending := l.LaminationParameters()
		out.Membrane, out.Bending = membrane[:], bending[:]
	}
	for i, y := range l.Layers {
		e, u := y.Ply.Lamina, y.Ply.Q.Invariants()
		out.Layers[i] = StackLayerEntry{
			AngleDeg: y.Theta * 180 / math.Pi, BottomMM: l.Heights[i], ThicknessMM: y.Thickness, E1: e.E1, E2: e.E2, G12: e.G12, Nu12: e.Nu12,
			Invariants: [5]float64{u.U1, u.U2, u.U3, u.U4, u.U5},
		}
		out.Layers[i].Holds, out.Layers[i].FibreShare = entry(i)
	}
	return out
}
