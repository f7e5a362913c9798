package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/material"
	"sinew/proof"
)

// check notes every fault that the file shows by itself.
func (f *File) check(l *faultList) {
	if f.Schema != SchemaName {
		l.add("schema", fmt.Sprintf("is %q", f.Schema), fmt.Sprintf("write schema = %q", SchemaName))
	}
	l.need("name", f.Name)
	f.Part.check(l)
	f.checkFeatures(l)
	f.checkSupports(l)
	f.checkCases(l)
	f.checkProbes(l)
	f.Material.check(l)
	f.Layup.check(l)
	f.checkLimits(l)
}

// need notes a missing text.
func (l *faultList) need(key, text string) {
	if strings.TrimSpace(text) == "" {
		l.add(key, "is missing", "state it")
	}
}

// oneOf notes a text that is not among the allowed ones.
func (l *faultList) oneOf(key, text string, allowed ...string) {
	if !slices.Contains(allowed, text) {
		l.add(key, fmt.Sprintf("is %q", text), "write one of "+strings.Join(allowed, ", "))
	}
}

// within notes a number outside [lo, hi], NaN included; text names the range.
func (l *faultList) within(key string, v, lo, hi float64, text string) {
	if !(v >= lo && v <= hi) {
		l.add(key, fmt.Sprintf("is %g", v), "give "+text)
	}
}

// Largest lengths and counts that a job may ask for. They bound memory and
// time; no printer comes near them.
const (
	maxExtent    = 10_000 // mm
	maxThickness = 1_000  // mm
	maxLayers    = 5_000
	maxFamilies  = 50
	maxTurns     = 200
	maxSteps     = 10_000
	maxTow       = 1e8 // mm
	maxPrice     = 1e9
	maxFactor    = 1_000
	maxCopies    = 1_000
)

func (p *PartTable) check(l *faultList) {
	p.checkSource(l)
	if p.Units != "" {
		l.oneOf("part.units", p.Units, "mm", "cm", "m", "in")
	}
	l.within("part.join", float64(p.Join), 0, 10, "a distance up to 10 mm, such as \"0.01 mm\"")
}

func (f *File) checkFeatures(l *faultList) {
	seen := map[string]bool{}
	for i, t := range f.Features {
		key := fmt.Sprintf("feature[%d]", i)
		l.need(key+".name", t.Name)
		if seen[t.Name] {
			l.add(key+".name", fmt.Sprintf("%q is there twice", t.Name), "give each feature its own name")
		}
		seen[t.Name] = true
		switch {
		case (t.Hole == nil) == (t.Side == nil):
			l.add(key, "must pick a hole or a side", "write hole = { … } or side = { … }")
		case t.Hole != nil && t.Hole.Near == nil && t.Hole.Diameter == 0:
			l.add(key+".hole", "picks nothing", "give near, diameter, or both")
		case t.Hole != nil:
			l.within(key+".hole.diameter", float64(t.Hole.Diameter), 0, maxExtent, "a diameter such as \"8 mm\"")
		case t.Side != nil:
			t.Side.check(key+".side", l)
			f.Part.checkFace(key+".side", t.Side, l)
		}
	}
}

func (s *SidePick) check(key string, l *faultList) {
	given := 0
	for _, has := range []bool{s.Near != nil, s.Layer != "", s.Face != "", s.End != ""} {
		if has {
			given++
		}
	}
	if given != 1 {
		l.add(key, "needs exactly one way to pick", "give near, layer, face or end")
	}
	if s.End != "" {
		l.oneOf(key+".end", s.End, "left", "right", "top", "bottom")
	}
}

func (f *File) checkSupports(l *faultList) {
	for i, s := range f.Supports {
		key := fmt.Sprintf("support[%d]", i)
		l.need(key+".at", s.At)
		l.oneOf(key+".how", s.How, "fixed", "pinned", "sliding", "resting")
		s.checkAcross(key, l)
	}
	if len(f.Supports) == 0 {
		l.add("support", "the part is held nowhere", "add a [[support]] with at = \"a feature\" and how = \"fixed\", \"pinned\" or \"sliding\"")
	}
}

func (f *File) checkCases(l *faultList) {
	if len(f.Cases) == 0 {
		l.add("case", "there is no load case", "add a [[case]] with at least one [[case.load]]")
	}
	seen := map[string]bool{}
	for i, c := range f.Cases {
		key := fmt.Sprintf("case[%d]", i)
		l.need(key+".name", c.Name)
		if seen[c.Name] {
			l.add(key+".name", fmt.Sprintf("%q is there twice", c.Name), "give each case its own name")
		}
		seen[c.Name] = true
		if c.Factor != nil {
			l.within(key+".factor", *c.Factor, 1e-3, maxFactor, "a factor above 0.001 and up to 1000")
		}
		c.checkHeat(key, l)
		c.checkAcross(key, l)
		if len(c.Loads) == 0 && c.Acceleration == [2]Acceleration{} && !c.warms() && !c.actsAcross() {
			l.add(key, "nothing acts in this case", "add a [[case.load]], an acceleration or a temperature_change")
		}
		for j, t := range c.Loads {
			t.check(fmt.Sprintf("%s.load[%d]", key, j), l)
		}
	}
}

func (t *LoadTable) check(key string, l *faultList) {
	l.need(key+".at", t.At)
	l.oneOf(key+".how", t.How, "bearing", "even", "traction", "pressure", "grip", "half-pin", "bolt")
	t.checkAcross(key, l)
	byStress := t.How == "traction" || t.How == "pressure"
	switch {
	case byStress && t.Force != 0:
		l.add(key+".force", "does not go with "+t.How, "give stress = \"… MPa\"")
	case byStress && t.Stress == 0:
		l.add(key+".stress", "is missing or zero", "give stress = \"… MPa\"")
	case !byStress && t.Stress != 0:
		l.add(key+".stress", "does not go with "+t.How, "give force = \"… N\"")
	case !byStress && t.Force == 0 && !t.actsAcross():
		l.add(key+".force", "is missing or zero", "give force = \"… N\"")
	case math.Abs(float64(t.Force)) > 1e9 || math.Abs(float64(t.Stress)) > 1e6:
		l.add(key, "is beyond any part", "check the unit")
	}
}

func (f *File) checkProbes(l *faultList) {
	for i, p := range f.Probes {
		key := fmt.Sprintf("probe[%d]", i)
		l.need(key+".name", p.Name)
		if (p.At == "") == (p.Point == nil) {
			l.add(key, "needs a place", "give at = \"a feature\" or point = [\"x mm\", \"y mm\"], not both")
		}
	}
}

func (m *MaterialTable) check(l *faultList) {
	l.need("material.plastic", m.Plastic)
	l.need("material.printer", m.Printer)
	if m.Bead == "" {
		l.need("material.tow", m.Tow)
	}
	if m.TowMethod != "" {
		l.oneOf("material.tow_method", m.TowMethod, material.MethodNames()...)
	}
	if m.BeadMethod != "" {
		l.oneOf("material.bead_method", m.BeadMethod, material.MethodNames()...)
	}
	if l.places["material.temperature"].line > 0 {
		l.within("material.temperature", float64(m.Temperature), -100, 300, "a temperature between -100 °C and 300 °C")
	}
}

func (t *LayupTable) check(l *faultList) {
	if t.Walls != nil {
		l.within("layup.walls", float64(*t.Walls), 0, 20, "0 to 20 walls")
	}
	l.within("layup.covers.bottom", float64(t.Covers.Bottom), 0, maxLayers, "0 or more layers")
	l.within("layup.covers.top", float64(t.Covers.Top), 0, maxLayers, "0 or more layers")
	t.checkPlastic(l)
	if t.Stagger != nil {
		l.within("layup.stagger", float64(*t.Stagger), 0, maxExtent, "a distance such as \"8 mm\", or \"0 mm\"")
	}
	l.within("layup.turn_reach", float64(t.TurnReach), 0, maxExtent, "a distance such as \"20 mm\"")
	if t.TurnReach != 0 && len(t.TurnAt) == 0 {
		l.add("layup.turn_reach", "strands turn nowhere", "name the features where they may in turn_at, or delete this key")
	}
	if len(t.Families) == 0 || len(t.Families) > maxFamilies {
		l.add("layup.family", fmt.Sprintf("there are %d families", len(t.Families)), "give 1 to 50 [[layup.family]] tables")
	}
	for i := range t.Families {
		t.Families[i].check(fmt.Sprintf("layup.family[%d]", i), l)
	}
	t.Refine.check(l)
	t.checkSearch(l)
	t.checkOrder(l)
}

// checkOrder holds a stated order of layers against the families.
func (t *LayupTable) checkOrder(l *faultList) {
	if t.Order == nil {
		return
	}
	if t.Search != nil {
		l.add("layup.order", "a search changes the numbers of layers that it orders", "delete it, or [layup.search]")
		return
	}
	left, names := map[string]int{}, []string{}
	for i := range t.Families {
		f := &t.Families[i]
		if _, twice := left[f.label()]; twice {
			l.add("layup.order", fmt.Sprintf("two families are called %q", f.label()), "give each a name of its own")
			return
		}
		left[f.label()] = f.Layers
		names = append(names, f.label())
	}
	for i, name := range t.Order {
		if _, ok := left[name]; !ok {
			l.oneOf(fmt.Sprintf("layup.order[%d]", i), name, names...)
			return
		}
		left[name]--
	}
	for i := range t.Families {
		if f := &t.Families[i]; left[f.label()] != 0 {
			l.add("layup.order", fmt.Sprintf("holds %s %d times, its layers are %d", f.label(), f.Layers-left[f.label()], f.Layers), "name each family as often as it has layers")
		}
	}
}

// checkSearch judges layup.search and what refers to it.
func (t *LayupTable) checkSearch(l *faultList) {
	for i := range t.Families {
		if t.Families[i].Lock && t.Search == nil {
			l.add(fmt.Sprintf("layup.family[%d].lock", i), "there is no search to keep it from", "delete it, or add [layup.search]")
		}
	}
	s := t.Search
	if s == nil {
		return
	}
	if s.Goal != "" {
		l.oneOf("layup.search.goal", s.Goal, "reserve", "ratio", "stiffness", "layers", "tow")
	}
	l.within("layup.search.tow", float64(s.Tow), 0, maxTow, "a length such as \"20 m\"")
	l.within("layup.search.price", s.Price, 0, maxPrice, "a price above 0")
	for i, c := range s.Candidates {
		l.oneOf(fmt.Sprintf("layup.search.candidates[%d]", i), c, "steered", "loops", "rim", "straight", "plain")
	}
}

func (t *RefineTable) check(l *faultList) {
	if t.Steps != nil {
		l.within("layup.refine.steps", float64(*t.Steps), 0, maxSteps, "0 to 10000 steps")
	}
	if t.Goal != "" {
		l.oneOf("layup.refine.goal", t.Goal, "balance", "reserve", "stiffness")
	}
}

func (t *FamilyTable) check(key string, l *faultList) {
	l.oneOf(key+".kind", t.Kind, "steered", "straight", "loop", "rim", "ribs", "drawn", "plain")
	if t.Into == "" {
		l.within(key+".layers", float64(t.Layers), 1, maxLayers, "1 to 5000 layers")
	}
	t.checkDrawn(key, l)
	t.checkRibs(key, l)
	if t.FigureEight && (t.Kind != "loop" || len(t.Around) != 2) {
		l.add(key+".figure_eight", "needs a loop around two holes", "make the family a loop and name both in around, or delete this key")
	}
	if t.Kind == "plain" && t.Spacing != 0 {
		l.add(key+".spacing", "does not go with plain: it has no strands", "delete it, or make the family of another kind")
	}
	l.within(key+".spacing", float64(t.Spacing), 0, 50, "a spacing such as \"1 mm\"")
	l.within(key+".turns", float64(t.Turns), 0, maxTurns, "1 to 200 turns")
	if t.Kind == "loop" && (len(t.Around) < 1 || len(t.Around) > 2) {
		l.add(key+".around", fmt.Sprintf("names %d holes", len(t.Around)), "name one hole, or two that the loop joins")
	}
	if t.Kind != "loop" && len(t.Around) > 0 {
		l.add(key+".around", "does not go with "+t.Kind, "delete it, or make the family a loop")
	}
	if t.Turns != 0 && t.Kind != "loop" && t.Kind != "rim" {
		l.add(key+".turns", "does not go with "+t.Kind, "delete it, or make the family a loop or a rim")
	}
	if t.Angle != 0 && t.Kind != "straight" && t.Kind != "ribs" {
		l.add(key+".angle", "does not go with "+t.Kind, "delete it, or make the family straight or ribs")
	}
}

func (f *File) checkLimits(l *faultList) {
	l.within("batch.copies", float64(f.Batch.Copies), 0, maxCopies, "1 to 1000 copies")
	l.within("batch.spacing", float64(f.Batch.Spacing), 0, 1000, "a distance such as \"5 mm\"")
	l.within("batch.tow_left", float64(f.Batch.TowLeft), 0, 1e8, "a length such as \"120 m\"")
	l.within("batch.plastic_left", float64(f.Batch.PlasticLeft), 0, 1e5, "a mass such as \"400 g\"")
	l.within("mesh.size", float64(f.Mesh.Size), 0, maxExtent, "an element side such as \"2 mm\"")
	l.within("mesh.hole_size", float64(f.Mesh.HoleSize), 0, maxExtent, "an element side such as \"0.6 mm\"")
	l.within("mesh.tolerance", float64(f.Mesh.Tolerance), 0, 1, "a share such as \"5 %\"")
	l.within("mesh.peak", float64(f.Mesh.Peak), 0, 1, "a share such as \"2 %\"")
	if n := f.Judge.Notch; n != "" {
		l.oneOf("judge.notch", n, string(proof.DiscMean), string(proof.PointStress), string(proof.AverageStress))
	}
	if c := f.Judge.Criterion; c != "" {
		l.oneOf("judge.criterion", c, material.CriterionNames()...)
	}
	l.within("judge.radius", float64(f.Judge.Radius), 0, 100, "a radius such as \"1 mm\"")
	l.within("judge.mask", float64(f.Judge.Mask), 0, maxExtent, "a distance such as \"10 mm\"")
	l.within("judge.bearing", float64(f.Judge.Bearing), 0, 5000, "a stress such as \"120 MPa\"")
	l.within("judge.transfer", float64(f.Judge.Transfer), 0, 1000, "a length such as \"5 mm\"")
	f.Analysis.check(l)
	if v := f.Require.Buckling; v != nil {
		l.within("require.buckling", *v, 0, maxFactor, "a factor such as 1.5")
	}
	if v := f.Require.Fibre; v != nil {
		l.within("require.fibre", *v, 0, maxFactor, "a reserve factor such as 1.2")
	}
	if v := f.Require.Matrix; v != nil {
		l.within("require.matrix", *v, 0, maxFactor, "a reserve factor such as 1.2")
	}
}
