package job

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"sinew/geom"
	"sinew/strand"
	"sinew/stress"
)

func (a *Arrays) of(t *testing.T, name string) Array {
	t.Helper()
	for _, x := range a.List {
		if x.Name == name {
			return x
		}
	}
	t.Fatalf("no array %q in %s", name, a.Kind)
	return Array{}
}

func TestViews(t *testing.T) {
	ctx := context.Background()
	r := stripRun(t)
	dir, came, rec := r.copied(t), r.came, r.Record
	if len(came) != 3 {
		t.Fatalf("came: %v", came)
	}
	if s := came["mesh"].Summary(); len(s.Has) != 1 || len(s.Layers) != 0 {
		t.Errorf("with the mesh alone: %+v", s)
	}
	if _, err := came["mesh"].Strands(ctx, -1); err == nil {
		t.Error("strands before they are laid")
	}
	if a, err := came["strands"].Strands(ctx, -1); err != nil || !math.IsNaN(float64(a.of(t, "use").F32[0])) {
		t.Errorf("strands before the proof: %v", err)
	}
	kept, err := KeptViews(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if a, b := kept.Summary(), came["proof"].Summary(); !reflect.DeepEqual(a, b) {
		t.Errorf("kept %+v\ncame %+v", a, b)
	}
	t.Run("fields", func(t *testing.T) { checkFields(t, kept, rec) })
	t.Run("equilibrium", func(t *testing.T) { checkEquilibrium(t, kept) })
	t.Run("strands", func(t *testing.T) { checkStrandViews(t, kept, rec) })
	t.Run("places", func(t *testing.T) { checkPlaces(t, kept) })
	t.Run("playback", func(t *testing.T) { checkPlayback(t, kept, rec) })
	t.Run("refusals", func(t *testing.T) { checkRefusals(t, kept) })
	t.Run("edited since", func(t *testing.T) {
		text, err := os.ReadFile(filepath.Join(dir, FileName))
		if err != nil {
			t.Fatal(err)
		}
		j := NewJournal(dir)
		if _, err := j.Change(versionOf(text), "edit", setTo(string(text)+"# more\n")); err != nil {
			t.Fatal(err)
		}
		v, err := KeptViews(dir, Options{})
		if err != nil || v.Summary().InputHash != rec.InputHash {
			t.Errorf("results of the text before: %v", err)
		}
		if err := os.RemoveAll(filepath.Join(dir, NotesFolder)); err != nil {
			t.Fatal(err)
		}
		if _, err := KeptViews(dir, Options{}); !errors.Is(err, ErrNoResults) {
			t.Errorf("without the text that was run: %v", err)
		}
	})
}

// checkFields finds each design's margins again in the fields.
func checkFields(t *testing.T, v *Views, rec *Record) {
	for d, design := range rec.Designs {
		a, err := v.Field(context.Background(), FieldQuery{Quantity: "index.worst", Design: d, Case: -1, Layer: -1})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.of(t, "values").F32) != 3*len(v.mesh.Mesh.Tris) {
			t.Fatalf("%s: %d values", design.Name, len(a.of(t, "values").F32))
		}
		if want := 1 / design.Governing.Reserve; math.Abs(a.Meta["hi"].(float64)-want) > 1e-9*want {
			t.Errorf("%s: greatest index %v, want %g", design.Name, a.Meta["hi"], want)
		}
	}
	for _, k := range fieldKinds() {
		a, err := v.Field(context.Background(), FieldQuery{Quantity: k.ID})
		if err != nil || a.Meta["hi"].(float64) < a.Meta["lo"].(float64) || a.Meta["title"] != k.Title {
			t.Errorf("%s: %v, %v", k.ID, a, err)
		}
	}
}

// checkEquilibrium sums the stress over a section of the strip: its force is
// the load.
func checkEquilibrium(t *testing.T, v *Views) {
	for _, x := range []float64{30, 75, 110} {
		s, err := v.Section(context.Background(), geom.Point{X: x, Y: 0.001}, geom.Point{X: x, Y: 35.999}, 2001, FieldQuery{Quantity: "stress.11", Layer: -1})
		if err != nil {
			t.Fatal(err)
		}
		force := 0.0
		for _, val := range s.Values {
			if val != nil {
				force += *val * 3.2 * 36 / 2001
			}
		}
		if force < 9500 || force > 10500 { // one value a triangle corner: some percent
			t.Errorf("force %g N over x = %g mm, want 10000", force, x)
		}
	}
}

func checkStrandViews(t *testing.T, v *Views, rec *Record) {
	ctx := context.Background()
	count, length := 0, 0.0
	for i := range v.lay.Print.Layers {
		a, err := v.Strands(ctx, i)
		if err != nil {
			t.Fatal(err)
		}
		start, points := a.of(t, "start").U32, a.of(t, "points").F32
		count += len(start) - 1
		for k := 0; k+1 < len(start); k++ {
			for p := start[k] + 1; p < start[k+1]; p++ {
				length += math.Hypot(float64(points[2*p]-points[2*p-2]), float64(points[2*p+1]-points[2*p-1]))
			}
		}
		beads, err := v.Beads(i)
		if err != nil || len(beads.of(t, "bead_width").F32) != len(v.lay.Print.Layers[i].Beads) {
			t.Errorf("layer %d: beads %v", i, err)
		}
	}
	if count != rec.Strands.Count || math.Abs(length/1000-rec.Strands.LengthM) > 1e-3 {
		t.Errorf("%d strands of %g m, the record says %d of %g m", count, length/1000, rec.Strands.Count, rec.Strands.LengthM)
	}
	all, err := v.Strands(ctx, -1)
	if err != nil {
		t.Fatal(err)
	}
	reasons, turning := all.Meta["ends"].([]string), all.of(t, "strand_turning").F32
	for i, e := range all.of(t, "strand_end").U8 {
		if int(e) >= len(reasons) {
			t.Fatalf("end %d of a strand is of kind %d, named are %q", i%2, e, reasons)
		}
	}
	first := slices.IndexFunc(v.lay.Print.Layers, func(l strand.Layer) bool { return l.Kind == strand.Composite })
	for k, s := range v.lay.Print.Layers[first].Strands {
		if got := float64(turning[k]); math.Abs(got-s.Turning()) > 1e-5*(1+got) {
			t.Errorf("strand %d turns through %g rad, the view says %g", k, s.Turning(), got)
		}
	}
	for _, u := range all.of(t, "use").F32 {
		if !(u >= 0) || float64(u) > 2/rec.Designs[0].Governing.Reserve+2 {
			t.Fatalf("use %g", u)
		}
	}
	c, err := v.Coverage(0)
	if err != nil {
		t.Fatal(err)
	}
	covered := 0
	for _, n := range c.of(t, "cells").U8 {
		if n > 0 && n != outsideCell {
			covered++
		}
	}
	cell := c.Meta["cell_mm"].(float64)
	if sum := float64(covered)*cell*cell + c.Meta["gap_mm2"].(float64); math.Abs(sum-rec.Part.AreaMM2) > 0.01*rec.Part.AreaMM2 {
		t.Errorf("covered and gaps add up to %g mm², the part has %g", sum, rec.Part.AreaMM2)
	}
	s, err := v.Strand(ctx, 0, 0, 0)
	if err != nil || len(s.Stress) != len(s.S) || s.S[0] != 0 {
		t.Errorf("one strand: %v", err)
	}
}

func checkPlaces(t *testing.T, v *Views) {
	ctx := context.Background()
	p, err := v.At(ctx, geom.Point{X: 75, Y: 30}, 0, 0)
	if err != nil || !p.Inside || len(p.Layers) == 0 {
		t.Fatalf("%+v, %v", p, err)
	}
	field, err := v.Field(ctx, FieldQuery{Quantity: "stress.s1", Layer: -1})
	if err != nil {
		t.Fatal(err)
	}
	values := field.of(t, "values").F32[stress.PointsPerTri*p.Triangle : stress.PointsPerTri*(p.Triangle+1)]
	found := false
	for _, x := range values {
		found = found || float32(p.S1) == x
	}
	if !found {
		t.Errorf("stress %g at the place, %v in its triangle", p.S1, values)
	}
	if out, err := v.At(ctx, geom.Point{X: 75, Y: 18}, 0, 0); err != nil || out.Inside {
		t.Errorf("in the hole: %+v, %v", out, err)
	}
	u, err := v.Displacement(ctx, 0, 0)
	if err != nil || u.Meta["greatest_mm"].(float64) <= 0 || len(u.of(t, "u").F32) != 2*len(v.mesh.Mesh.Nodes) {
		t.Errorf("displacement: %v", err)
	}
	pr, err := v.Principal(0)
	if err != nil || len(pr.of(t, "angle").F32) != len(v.mesh.Mesh.Tris) {
		t.Errorf("principal directions: %v", err)
	}
	m := v.MeshView()
	if len(m.of(t, "nodes").F32) != 2*len(v.mesh.Mesh.Nodes) || len(m.of(t, "boundary").U32) != 3*len(v.mesh.Mesh.Boundary) {
		t.Error("mesh")
	}
}

func checkRefusals(t *testing.T, v *Views) {
	ctx := context.Background()
	tries := map[string]func() error{
		"design":          func() error { _, err := v.Field(ctx, FieldQuery{Quantity: "stress.11", Design: 99}); return err },
		"negative design": func() error { _, err := v.Displacement(ctx, -1, 0); return err },
		"case":            func() error { _, err := v.Field(ctx, FieldQuery{Quantity: "stress.11", Case: 5}); return err },
		"all cases":       func() error { _, err := v.Field(ctx, FieldQuery{Quantity: "stress.11", Case: -1}); return err },
		"quantity":        func() error { _, err := v.Field(ctx, FieldQuery{Quantity: "colour"}); return err },
		"layer":           func() error { _, err := v.Field(ctx, FieldQuery{Quantity: "layer.share", Layer: 99}); return err },
		"all layers":      func() error { _, err := v.Field(ctx, FieldQuery{Quantity: "layer.share", Layer: -1}); return err },
		"face": func() error {
			_, err := v.Field(ctx, FieldQuery{Quantity: "layer.fibre_stress", Layer: v.firstComposite(), Face: "side"})
			return err
		},
		"shape":             func() error { _, err := v.Shape(ctx, "deflected", 0); return err },
		"layer of strands":  func() error { _, err := v.Strands(ctx, 99); return err },
		"layer of beads":    func() error { _, err := v.Beads(-1); return err },
		"layer of coverage": func() error { _, err := v.Coverage(99); return err },
		"strand":            func() error { _, err := v.Strand(ctx, 0, 9999, 0); return err },
		"case of principal": func() error { _, err := v.Principal(-1); return err },
	}
	for name, try := range tries {
		var bad *InputError
		if err := try(); !errors.As(err, &bad) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// checkPlayback finds the strands again in the program as it runs: every place
// where tow is laid lies on the centre line of a strand, and the time is the
// record's.
func checkPlayback(t *testing.T, v *Views, rec *Record) {
	a, err := v.Playback(context.Background(), 0)
	if err != nil {
		t.Fatal(err)
	}
	heating := 0.0
	for _, x := range rec.Program.Times {
		if x.What == "heating" {
			heating = x.TimeS
		}
	}
	// The summary times the moves as planned, the playback those of the text,
	// whose numbers are rounded.
	const rounding = 2e-3
	if total := a.Meta["total_s"].(float64) + heating; math.Abs(total-rec.Program.TimeS) > rounding*total {
		t.Errorf("heats %g s and runs for %g s in all, the record says %g: %v", heating, total, rec.Program.TimeS, rec.Program.Times)
	}
	var points []geom.Point
	for i := range v.lay.Print.Layers {
		for k := range v.lay.Print.Layers[i].Strands {
			points = append(points, geom.Path{Points: v.lay.Print.Layers[i].Strands[k].Points}.Resample(0.1).Points...)
		}
	}
	grid := geom.NewGrid(points)
	strands, to := a.of(t, "strand").U32, a.of(t, "to").F32
	laid := 0
	for i, s := range strands {
		if s == noIndex {
			continue
		}
		laid++
		if _, d := grid.Nearest(geom.Point{X: float64(to[3*i]), Y: float64(to[3*i+1])}); d > 0.11 {
			t.Fatalf("frame %d lays tow %g mm off every strand", i, d)
		}
	}
	if laid == 0 {
		t.Error("no tow is laid")
	}
	half, err := v.Playback(context.Background(), rec.Program.TimeS/2)
	if err != nil || len(half.of(t, "line").U32) >= len(strands) || float64(half.of(t, "end").F32[0]) < rec.Program.TimeS/2*(1-1e-6) {
		t.Errorf("from the middle: %v", err)
	}
}
