package job

import (
	"fmt"
	"math"
	"slices"

	"sinew/material"
	"sinew/proof"
	"sinew/unit"
)

// criterion of failure between the fibres; nil for the default.
func (j *Job) criterion() *material.Criterion {
	if j.file.Judge.Criterion == "" {
		return nil
	}
	c, err := material.ParseCriterion(j.file.Judge.Criterion)
	if err != nil {
		panic("job: criterion of a checked file: " + err.Error())
	}
	return &c
}

// coolDown is the change of temperature from where the plastic sets, the
// higher of its glass and its heat-deflection temperature, to where the part
// works, K; 0 where the card knows neither.
func (j *Job) coolDown() float64 {
	set := math.Max(j.in.plastic.GlassTemperature, j.in.plastic.DeflectionTemperature)
	if set == 0 {
		return 0
	}
	return math.Min(0, j.in.state.Temperature-set)
}

// strengthRecord says how the print was judged and what lies behind it.
func (j *Job) strengthRecord(d *proof.Detail) *StrengthRecord {
	s := j.judge()
	n := s.Notch
	out := &StrengthRecord{
		Rule: string(s.EdgeRule()), RadiusMM: s.DiscRadius(), PointMM: n.Point, AverageMM: n.Average, Criterion: s.MatrixCriterion().String(),
		CoolDownK: s.CoolDown,
	}
	list, _ := j.in.law.KnockDowns()
	for _, k := range list {
		out.KnockDowns = append(out.KnockDowns, knockDownRecord(k))
	}
	out.Criteria, out.Governing = j.criterionRecords(d.Criteria), j.criterionRecords(d.AtGoverning)
	if e := d.Ends; e != nil {
		out.Ends = &EndsRecord{NeedMM: e.Need, Stress: e.Stress, X: e.At.X, Y: e.At.Y, Layer: e.Layer, Case: j.in.part.Cases[e.Case].Name, Reserve: finiteOr(e.Reserve, maxReserve)}
	}
	for _, k := range d.Stacks {
		out.Stacks = append(out.Stacks, StackRecord{
			Why: k.Why, X: k.At.X, Y: k.At.Y, LaminateRecord: laminateRecord(k.Laminate, j.heldIn(k.Holds)),
			Curvature: 1000 * k.Warp.Greatest, WarpDeg: k.Warp.Direction * 180 / math.Pi, BowMM: k.Bow, SpanMM: k.Span,
		})
	}
	return out
}

// criterionRecords lists what criteria say, case by case.
func (j *Job) criterionRecords(byCase [][]proof.CriterionMargin) []CriterionRecord {
	var out []CriterionRecord
	for i, list := range byCase {
		for _, c := range list {
			out = append(out, CriterionRecord{
				Criterion: c.Criterion.String(), Fails: c.What.String(), Margin: j.marginRecord(c.Margin, j.in.part.Cases[i].Name),
				FractureDeg: c.Fracture * 180 / math.Pi,
			})
		}
	}
	return out
}

// heldIn says what the layers of a pile of the print hold.
func (j *Job) heldIn(holds []proof.Held) func(layer int) (string, float64) {
	return func(layer int) (string, float64) {
		switch h := holds[layer]; {
		case h.Composite < 0:
			return "plastic", 0
		case h.Rho == 0:
			return fmt.Sprintf("composite layer %d, plastic here", h.Composite+1), 0
		default:
			return fmt.Sprintf("composite layer %d", h.Composite+1), j.in.law.Composition(h.Rho).Fibre
		}
	}
}

// filled puts empty lists where a kept result has lost them.
func (s *StrengthRecord) filled() *StrengthRecord {
	if s == nil {
		return nil
	}
	out := *s
	out.KnockDowns = append([]KnockDownRecord{}, s.KnockDowns...)
	out.Criteria = append([]CriterionRecord{}, s.Criteria...)
	out.Governing = append([]CriterionRecord{}, s.Governing...)
	out.Stacks = append([]StackRecord{}, s.Stacks...)
	return &out
}

func knockDownRecord(k material.KnockDown) KnockDownRecord {
	one := func(f float64) float64 {
		if f == 0 { // left out on the card
			return 1
		}
		return f
	}
	r := KnockDownRecord{
		ID: k.ID, Title: k.Title, Tension: one(k.FibreTension), Compression: one(k.FibreCompression), Matrix: one(k.Matrix),
		Interlaminar: one(k.Interlaminar), Stiffness: one(k.Stiffness),
	}
	var sources []string
	for _, s := range k.Sources {
		if !slices.Contains(sources, s.Source) {
			sources = append(sources, s.Source)
		}
	}
	for i, s := range sources {
		if i > 0 {
			r.Source += "; "
		}
		r.Source += s
	}
	return r
}

// ruleRecords holds a case's least reserves by every notch rule.
func ruleRecords(c *proof.CaseMargins) []RuleRecord {
	list := []RuleRecord{}
	for i := range c.ByRule {
		r := &c.ByRule[i]
		if len(r.Margins) == 0 {
			continue
		}
		out := RuleRecord{Rule: string(r.Rule), Least: finiteOr(r.Margins[0].Reserve, maxReserve), By: string(r.Margins[0].Mode)}
		if m := r.Fibre(); m != nil {
			out.Fibre = finiteOr(m.Reserve, maxReserve)
		}
		if m := r.Of(proof.Matrix); m != nil {
			out.Matrix = finiteOr(m.Reserve, maxReserve)
		}
		list = append(list, out)
	}
	return list
}

func (j *Job) jointRecords(c *proof.CaseMargins) []JointRecord {
	list := []JointRecord{}
	for _, g := range c.Joints {
		out := JointRecord{
			Feature: featureName(j.in.part, g.Feature), ForceN: g.Force, DirectionDeg: g.Direction * 180 / math.Pi, WidthMM: g.Width, EdgeMM: g.Edge,
			Checks: []JointReport{},
		}
		for _, k := range g.Checks {
			out.Checks = append(out.Checks, JointReport{k.Check, k.Stress, k.Strength, finiteOr(k.Reserve, maxReserve)})
		}
		if g.Elements != nil {
			m := j.marginRecord(*g.Elements, "")
			out.Elements = &m
		}
		list = append(list, out)
	}
	return list
}

// besideMargins warns of what stands beside the margins of the print, in no
// verdict, and falls short all the same: simple formulas of loaded holes, and
// ends of strands.
func (r *Results) besideMargins() []string {
	var out []string
	for _, d := range r.Record.Designs {
		if d.ID != proof.Printed {
			continue
		}
		for _, c := range d.Cases {
			for _, g := range c.Joints {
				for _, k := range g.Checks {
					if k.Reserve < 1 {
						out = append(out, fmt.Sprintf("case %s, %s: the simple formula of %s gives a reserve factor of %s (%.3g of %.3g MPa); it is no part of the verdict", c.Case, g.Feature, k.Check, unit.Reserve(k.Reserve), k.Stress, k.Strength))
					}
				}
			}
		}
	}
	if s := r.Record.Strength; s != nil && s.Ends != nil && s.Ends.Reserve > 0 && s.Ends.Reserve < 1 {
		e := s.Ends
		out = append(out, fmt.Sprintf("case %s: the end of a strand at (%.1f, %.1f) mm needs %.3g mm to hand over its force, more than judge.transfer: reserve factor %s; it is no part of the verdict", e.Case, e.X, e.Y, e.NeedMM, unit.Reserve(e.Reserve)))
	}
	return out
}

func collapseRecord(c *proof.Collapse) *CollapseRecord {
	if c == nil {
		return nil
	}
	return &CollapseRecord{
		FirstFibre: c.FirstFibre, FirstMatrix: c.FirstMatrix, Load: finiteOr(c.Load, maxReserve), Cracked: c.Cracked, Broken: c.Broken, Ended: c.Ended, Curve: c.Curve,
	}
}

// addMethods puts beside the bead what it was made from step by step, and what
// the other methods and the bounds say.
func (b *BeadRecord) addMethods(law *material.Law, rho float64) {
	for _, m := range law.Methods(rho) {
		p := m.Phase
		b.Methods = append(b.Methods, MethodRecord{
			Method: m.Method.String(), E1: p.E1, E2: p.E2, G12: p.G12, G23: p.G23, Nu12: p.Nu12,
			Alpha1: p.Alpha1, Alpha2: p.Alpha2, Beta1: p.Beta1, Beta2: p.Beta2, K1: p.K1, K2: p.K2,
		})
	}
	for _, m := range law.Compression(rho) {
		b.Compression = append(b.Compression, MechanismRecord(m))
	}
	for _, y := range law.Steps(rho) {
		p := y.Phase
		b.Steps = append(b.Steps, BodyRecord{
			Name: y.Name, Of: y.Of, Share: y.Share, Voids: y.Voids, E1: p.E1, E2: p.E2, G12: p.G12, G23: p.G23, Nu12: p.Nu12,
			Alpha1: p.Alpha1, Alpha2: p.Alpha2, Beta1: p.Beta1, Beta2: p.Beta2, K1: p.K1, K2: p.K2, Density: 1000 * p.Density,
		})
	}
	w := law.Bounds(rho)
	b.Bounds = []BoundRecord{
		{"E1", w.Lower.E1, w.Upper.E1}, {"E2", w.Lower.E2, w.Upper.E2}, {"G12", w.Lower.G12, w.Upper.G12},
		{"G23", w.Lower.G23, w.Upper.G23}, {"nu12", w.Lower.Nu12, w.Upper.Nu12},
	}
}

// surroundings of the materials; the growth by moisture is that of the bead at
// rho strands per mm, whose plastic alone takes up water.
func (j *Job) surroundings(rho float64) SurroundingsRecord {
	law := j.in.law
	s := law.PlasticState()
	out := SurroundingsRecord{
		TemperatureC: j.in.state.Temperature, Conditioned: j.in.state.Conditioned, PlasticModulus: s.Phase.E1, PlasticTension: s.Tension, PlasticCompression: s.Compression, PlasticShear: s.Shear,
		LimitC: j.in.plastic.DeflectionTemperature,
	}
	if j.in.state.Conditioned {
		l, water := law.Lamina(rho), law.Composition(rho).PlasticMass*j.in.plastic.Moisture
		out.GrowthAlong, out.GrowthAcross = water*l.Beta1, water*l.Beta2
	}
	return out
}
