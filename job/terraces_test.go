package job

import (
	"bytes"
	"encoding/gob"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sinew/field"
	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/part"
	"sinew/strand"
)

func pocketedJob(t *testing.T) string {
	t.Helper()
	return writeFiles(t, map[string]string{FileName: pocketText(), "link.3mf": string(shapes.ThreeMF(pocketShape()))})
}

// kept reads the result that a stage left.
func kept[T any](t *testing.T, dir, stage string) T {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "out", stagesFolder, stage+".gob"))
	if err != nil {
		t.Fatal(err)
	}
	var k keep[T]
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&k); err != nil {
		t.Fatal(err)
	}
	return k.Result
}

// A terrace is refined as the whole is, on the part as drawn there; stopped in
// it, a run goes on to the bytes of one in one go.
func TestTerracesAreRefined(t *testing.T) {
	once := pocketedJob(t)
	asks := 0
	layJob(t, once, Options{Workers: 1, Stop: func() bool { asks++; return false }})
	whole := kept[laid](t, once, stageLay)
	if len(whole.Terraces) != 1 {
		t.Fatalf("%d terraces", len(whole.Terraces))
	}
	steps := whole.Terraces[0].Layup.Steps
	if len(steps) < 2 || steps[len(steps)-1].Value >= steps[0].Value {
		t.Fatalf("steps of the terrace's refinement: %+v", steps)
	}
	dir := pocketedJob(t)
	asked := 0
	part := layJob(t, dir, Options{Workers: 2, Stop: func() bool { asked++; return asked >= asks }})
	if !slices.ContainsFunc(part.Record.Layup.Notes, func(s string) bool { return strings.HasPrefix(s, "stopped: the refinement of 1 terraces") }) {
		t.Errorf("notes %q do not say that the terrace was stopped", part.Record.Layup.Notes)
	}
	at := kept[resumed](t, dir, stageResume)
	if c := at.Terraces[whole.Terraces[0].Island]; at.Whole == nil || c == nil || len(c.Steps) >= len(steps) {
		t.Errorf("the state to go on from: plan of the whole %v, terraces %v", at.Whole != nil, at.Terraces)
	}
	layJob(t, dir, Options{Workers: 2})
	if !bytes.Equal(results(t, dir), results(t, once)) {
		t.Error("resumed, the record differs from that of a run in one go")
	}
}

// The layers around a pocket have strands of their own: they run around it and
// are not cut by it, while those of its floor run under it as if it were not
// there.
func TestTerracesHaveTheirOwnStrands(t *testing.T) {
	r := pocketRun(t)
	under := 0
	for i := range r.Print.Layers {
		l := &r.Print.Layers[i]
		if l.Kind != strand.Composite {
			continue
		}
		upper := l.Z > 0.72+0.01
		if n := l.Stats(r.Print).CutByHole; n > 0 {
			t.Errorf("layer %d: %d strands are cut by holes", i, n)
		}
		for k := range l.Strands {
			s := &l.Strands[k]
			if slices.ContainsFunc(s.Points, func(p geom.Point) bool { return p.Dist(geom.Point{X: 60}) < 8 }) {
				if upper {
					t.Errorf("layer %d: a strand crosses the pocket", i)
				}
				under++
			}
			if s.Start == strand.AtDrop || s.End == strand.AtDrop {
				t.Errorf("layer %d: a strand ends at the pocket", i)
			}
		}
	}
	if under == 0 {
		t.Error("no strand runs under the pocket")
	}
}

// Of each point the layers there and the covers are counted, and a terrace's own
// layers with all others make up what is there.
func TestPresenceOfLayers(t *testing.T) {
	r := pocketRun(t)
	j := r.job
	points := []geom.Point{{X: 60}, {X: 60, Y: 19}, {X: 500}}
	composite, covers := j.presence(points)
	for i, want := range [][2]float64{{1. / 3, 0.5}, {1, 1}, {0, 0}} {
		if math.Abs(composite[i]-want[0]) > 1e-12 || math.Abs(covers[i]-want[1]) > 1e-12 {
			t.Errorf("at %v: %.4g of the composite, %.4g of the covers, want %v", points[i], composite[i], covers[i], want)
		}
	}
	// A family's three layers everywhere, one of them the terrace's own at the
	// second point.
	whole := &field.Layup{Families: []field.Family{{Mesh: r.Mesh, Phase: make([]float64, len(r.Mesh.Nodes))}}, Layers: make([]field.Layer, 3)}
	for n, p := range r.Mesh.Nodes {
		whole.Families[0].Phase[n] = p.Y
	}
	stack := field.Stack{Law: j.in.law, PlasticDensity: 1}
	mass := func(own int) []float64 {
		return j.under(stack, points, whole, []int{own}, []float64{0, 1, 0}).Mass
	}
	layer := j.in.law.Height() * j.in.law.Composition(1).Density
	for i, want := range []float64{layer, 2 * layer, 0} {
		if got := mass(1)[i]; math.Abs(got-want) > 1e-9*layer {
			t.Errorf("at %v lie %.4g g/mm² under the terrace, want %.4g", points[i], got, want)
		}
	}
}

// A terrace keeps the features that lie on it, and what acts there.
func TestFeaturesOfATerrace(t *testing.T) {
	circle := func(x, r float64) geom.Loop { return geom.Circle(geom.Point{X: x}, r).Reverse() }
	whole := geom.Region{Outer: geom.Polyline(geom.Point{X: -20, Y: -20}, geom.Point{X: 120, Y: -20}, geom.Point{X: 120, Y: 20}, geom.Point{X: -20, Y: 20}), Holes: []geom.Loop{circle(0, 5), circle(100, 5)}}
	// The upper half of its length, with a pocket before its pin.
	upper := geom.Region{Outer: geom.Polyline(geom.Point{X: 40, Y: -20}, geom.Point{X: 120, Y: -20}, geom.Point{X: 120, Y: 20}, geom.Point{X: 40, Y: 20}), Holes: []geom.Loop{circle(70, 8), circle(100.02, 5)}}
	p := &part.Part{
		Region: whole,
		Features: []part.Feature{
			{Name: "left pin", Kind: part.Hole, Loop: 1}, {Name: "right pin", Kind: part.Hole, Loop: 2},
			{Name: "left side", Kind: part.Side, Edges: []int{3}}, {Name: "right side", Kind: part.Side, Edges: []int{1}},
		},
		Supports: []part.Support{{Feature: 0}, {Feature: 3}},
		Cases:    []part.Case{{Loads: []part.Load{{Feature: 1}, {Feature: 2}}}, {Loads: []part.Load{{Feature: 0}}}},
	}
	got := terracePart(p, upper)
	if f := got.Features[1]; f.Loop != 2 || len(f.Edges) != len(upper.Holes[1]) {
		t.Errorf("the right pin is %+v", f)
	}
	if f := got.Features[3]; f.Loop != 0 || !slices.Equal(f.Edges, []int{1}) {
		t.Errorf("the right side is %+v", f)
	}
	if len(got.Supports) != 1 || got.Supports[0].Feature != 3 || len(got.Cases) != 2 || len(got.Cases[0].Loads) != 1 || got.Cases[0].Loads[0].Feature != 1 || len(got.Cases[1].Loads) != 0 {
		t.Errorf("supports %+v, cases %+v", got.Supports, got.Cases)
	}
	if len(p.Supports) != 2 || len(p.Cases[0].Loads) != 2 || p.Features[1].Edges != nil {
		t.Error("the whole part was changed")
	}
}
