package sinew_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"sinew/field"
	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// found searches the layer mix of a specimen, all families of which but the
// first are candidates, and returns the specimen with what was found.
func (w workshop) found(t testing.TB, s specimen, size, arc float64) (specimen, *field.Mix) {
	t.Helper()
	m, err := mesh.Generate(s.part.Region, mesh.Settings{Size: size, ArcSize: arc})
	if err != nil {
		t.Fatal(err)
	}
	sys, err := stress.NewSystem(m, s.part, stress.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	in := field.Input{Part: s.part, System: sys, Stack: field.Stack{Law: w.law, Plastic: w.plastic.Reduced(), PlasticDensity: 1.15e-3}}
	mix, err := field.FindMix(context.Background(), in, field.Settings{Families: s.families, Mask: s.mask, Draw: w.draw(s, sys)}, field.MixSettings{})
	if err != nil {
		t.Fatal(err)
	}
	out := s
	out.families, out.refine = nil, field.Refine{}
	for k, n := range mix.Layers {
		if r := s.families[k]; n > 0 {
			r.Layers = n
			out.families = append(out.families, r)
			t.Logf("%d layers %s", n, r.Name)
		}
	}
	t.Logf("%d mixes tried, least reserve %.4g by %s", mix.Tried, mix.Reserve(), mix.Score.Governing())
	return out, mix
}

// candidates are one steered family in ten layers and what may enter besides.
func candidates(p *part.Part, s field.CandidateSettings) []field.Request {
	s.Steered, s.Together = true, true
	out := field.Candidates(p, s)
	out[0].Layers = 10
	return out
}

func degrees(list ...float64) []float64 {
	for i := range list {
		list[i] *= math.Pi / 180
	}
	return list
}

// TestLinkMixFound: the stack that the search finds for a link with two pins
// and a lightening hole is quasi-isotropic's equal in every mode, bearing at
// the pins included.
func TestLinkMixFound(t *testing.T) {
	w := newWorkshop(t)
	p := link()
	s := specimen{part: p, refine: field.Refine{Steps: 1}, families: candidates(p, field.CandidateSettings{Loops: true, Rim: true, Turns: 8, Angles: degrees(0, 90, 45, -45, 15, -15)})}
	s, mix := w.found(t, s, 2.5, 0.2)
	if mix.Score.Governing() != "matrix" {
		t.Errorf("%s governs, want the matrix", mix.Score.Governing())
	}
	s.refine = field.Refine{Steps: 20, Goal: field.Weakest}
	o := w.make(t, s, 1.5, 0.1)
	a, q := o.designs[printedName], o.designs[evenName]
	atLeast(t, "fibre tension against quasi-isotropic", a.ft/q.ft, 1.7)
	atLeast(t, "fibre compression and bearing against quasi-isotropic", a.fc/q.fc, 1)
	atLeast(t, "matrix against quasi-isotropic", a.m/q.m, 1)
	atLeast(t, "stiffness against quasi-isotropic", a.k/q.k, 1.35)
	atLeast(t, "shortest strand, mm", o.stats.Shortest, 45)
}

// TestBracketMixFound: bending needs crossing layers, and the search finds how
// many.
func TestBracketMixFound(t *testing.T) {
	w := newWorkshop(t)
	p := bracket()
	s := specimen{part: p, mask: 10, refine: field.Refine{Steps: 1}, families: candidates(p, field.CandidateSettings{Rim: true, Angles: degrees(0, 90, 45, -45)})}
	s, _ = w.found(t, s, 3, 0.2)
	o := w.make(t, s, 2, 0.1)
	a, q := o.designs[printedName], o.designs[evenName]
	atLeast(t, "fibre tension against quasi-isotropic", a.ft/q.ft, 2.2)
	atLeast(t, "fibre compression against quasi-isotropic", a.fc/q.fc, 2.2)
	atLeast(t, "matrix against quasi-isotropic", a.m/q.m, 2.0)
	atLeast(t, "stiffness against quasi-isotropic", a.k/q.k, 1.7)
	atLeast(t, "least radius, mm", o.stats.MinRadius, 5)
}

// TestTwoCasesCostLittle: a bracket designed for two load cases together fails
// by fibre and by matrix within 5 % of brackets designed for either alone, in
// that case.
func TestTwoCasesCostLittle(t *testing.T) {
	w := newWorkshop(t)
	shear := bracket().Cases[0]
	pull := part.Case{Name: "tip pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: 2000}}}}
	design := func(cases ...part.Case) outcome {
		p := bracket()
		p.Cases = cases
		families := []field.Request{{Name: "along the legs", Kind: field.Steered, Layers: 4, Spacing: 1}, crossing(90, 2), crossing(45, 2), crossing(-45, 2)}
		return w.make(t, specimen{part: p, mask: 10, families: families}, 3, 0.2)
	}
	both := design(shear, pull)
	for i, c := range []part.Case{shear, pull} {
		alone := design(c).printed[0]
		at := slices.IndexFunc(both.printed, func(m fibreMargin) bool { return m.name == c.Name })
		atLeast(t, c.Name+": fibre reserve of both against alone", both.printed[i].reserve/alone.reserve, 0.95)
		atLeast(t, c.Name+": matrix reserve of both against alone", both.printed[i].matrix/alone.matrix, 0.95)
		if at != i {
			t.Errorf("case %d of the proof is %q, want %q", i, both.printed[i].name, c.Name)
		}
	}
}
