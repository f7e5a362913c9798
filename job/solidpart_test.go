package job

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sinew/drawing"
	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/solid"
	"sinew/strand"
)

// sampleRegion is the outline of the small job.
func sampleRegion(t testing.TB) geom.Region {
	t.Helper()
	d, err := drawing.ReadDXF(bytes.NewReader(sampleDrawing), drawing.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	regions, err := d.Regions(drawing.JoinSettings{Tolerance: defaultJoin})
	if err != nil {
		t.Fatal(err)
	}
	return regions[0]
}

// solidText is the small job with its part from a solid.
func solidText(lines string) string {
	return strings.Replace(smallText, "drawing = \"plate.dxf\"\nthickness = \"1.04 mm\"", lines, 1)
}

// bottomUp turns a solid so that the given direction of its file is up once
// more when the job says so: the inverse of what the job does.
func bottomUp(m *solid.Mesh, up string) *solid.Mesh {
	for _, u := range upward {
		if u.name == up {
			r := u.rows
			return m.Map([3]solid.Point{{X: r[0].X, Y: r[1].X, Z: r[2].X}, {X: r[0].Y, Y: r[1].Y, Z: r[2].Y}, {X: r[0].Z, Y: r[1].Z, Z: r[2].Z}}, solid.Point{X: 0, Y: 0, Z: 0})
		}
	}
	panic("no such direction")
}

// TestSolidIsItsDrawing: the plate as a solid, standing any way in its file,
// gives the outline and the features of the plate as drawn.
func TestSolidIsItsDrawing(t *testing.T) {
	drawn := openPart(t, map[string]string{FileName: smallText, sampleName: string(sampleDrawing)})
	prism := shapes.Prism(sampleRegion(t), 0, 1.04, 0.005)
	for _, up := range upNames() {
		got := openPart(t, map[string]string{
			FileName:    solidText("solid = \"plate.3mf\"\nup = \"" + up + "\""),
			"plate.3mf": string(shapes.ThreeMF(bottomUp(prism, up))),
		})
		if len(got.notes) != 1 || !strings.Contains(got.notes[0], "arcs were found again") {
			t.Errorf("up %s: notes %q", up, got.notes)
		}
		for i, f := range drawn.part.Features {
			g := got.part.Features[i]
			if g.Name != f.Name || g.Center.Dist(f.Center) > 1e-6 || math.Abs(g.Diameter-f.Diameter) > 1e-6 {
				t.Errorf("up %s: feature %+v, drawn %+v", up, g, f)
			}
		}
		for i, l := range drawn.part.Region.Loops() {
			g := got.part.Region.Loops()[i]
			if len(g) != len(l) {
				t.Fatalf("up %s: loop %d has %d edges, drawn %d", up, i, len(g), len(l))
			}
			for _, e := range l { // the loops may start elsewhere
				if !slices.ContainsFunc(g, func(f geom.Edge) bool {
					return f.A.Dist(e.A) < 1e-6 && f.B.Dist(e.B) < 1e-6 && math.Abs(f.Bulge-e.Bulge) < 1e-6
				}) {
					t.Errorf("up %s: loop %d has no edge %+v: %+v", up, i, e, g)
				}
			}
		}
	}
}

// openPart opens a job for what it reads.
func openPart(t *testing.T, files map[string]string) *inputs {
	t.Helper()
	j, err := Open(writeFiles(t, files), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	return j.in
}

// TestSolidRunsLikeItsDrawing: loops that start at another edge give another
// mesh, and this job's is coarse; so figures agree to some percent.
func TestSolidRunsLikeItsDrawing(t *testing.T) {
	drawn := plainRun(t).Record
	got := proveJob(t, writeFiles(t, map[string]string{
		FileName:    solidText("solid = \"plate.3mf\"\nup = \"z\""),
		"plate.3mf": string(shapes.ThreeMF(shapes.Prism(sampleRegion(t), 0, 1.04, 0.005))),
	})).Record
	near := func(what string, a, b, share float64) {
		if math.Abs(a-b) > share*math.Abs(b) {
			t.Errorf("%s %g, drawn %g", what, a, b)
		}
	}
	near("area", got.Part.AreaMM2, drawn.Part.AreaMM2, 1e-9)
	near("strand length", got.Strands.LengthM, drawn.Strands.LengthM, 0.02)
	for i, d := range drawn.Designs {
		near(d.Name+" mass", got.Designs[i].MassG, d.MassG, 0.005)
		near(d.Name+" stiffness", got.Designs[i].Stiffness, d.Stiffness, 0.01)
		near(d.Name+" reserve", got.Designs[i].Governing.Reserve, d.Governing.Reserve, 0.08)
	}
}

func TestSolidInputIsChecked(t *testing.T) {
	prism := shapes.Prism(sampleRegion(t), 0, 1.04, 0.01)
	plain := string(shapes.ThreeMF(prism))
	open := &solid.Mesh{Points: prism.Points, Tris: prism.Tris[2:]}
	torn := &solid.Mesh{Points: prism.Points, Tris: prism.Tris[4:]}
	for name, c := range map[string]struct {
		lines, file, data, want string
	}{
		"no direction":       {`solid = "a.3mf"`, "a.3mf", plain, "job.toml:4:2: part.up: is missing"},
		"no such direction":  {"solid = \"a.3mf\"\nup = \"w\"", "a.3mf", plain, `part.up: is "w"; write one of z, -z`},
		"both":               {"solid = \"a.3mf\"\ndrawing = \"a.dxf\"\nup = \"z\"", "a.3mf", plain, "part.solid: does not go with a drawing"},
		"neither":            {"", "a.3mf", plain, "part: names neither drawing nor solid"},
		"up of a drawing":    {"drawing = \"a.dxf\"\nthickness = \"1 mm\"\nup = \"z\"", "a.dxf", "", "part.up: does not go with a drawing"},
		"drawing layers":     {"solid = \"a.3mf\"\nup = \"z\"\nlayers = [\"0\"]", "a.3mf", plain, "part.layers: does not go with a solid"},
		"outside":            {"solid = \"../a.3mf\"\nup = \"z\"", "a.3mf", plain, "lies outside the job's folder"},
		"missing":            {"solid = \"b.3mf\"\nup = \"z\"", "a.3mf", plain, "b.3mf: is not there"},
		"STEP":               {"solid = \"a.step\"\nup = \"z\"", "a.step", "ISO-10303-21;", "a.step: is an exact surface model, which is not read; save the part as 3MF"},
		"drawing as a solid": {"solid = \"a.dxf\"\nup = \"z\"", "a.dxf", plain, "is neither .3mf nor .stl"},
		"STL without unit":   {"solid = \"a.stl\"\nup = \"z\"", "a.stl", "solid a\nendsolid a\n", "an STL file states no unit; say which with part.units"},
		"contradicted unit":  {"solid = \"a.3mf\"\nup = \"z\"\nunits = \"in\"", "a.3mf", plain, "states millimeter, the job in"},
		"thickness":          {"solid = \"a.3mf\"\nup = \"z\"\nthickness = \"2 mm\"", "a.3mf", plain, "part.thickness: is 2 mm, but the solid is 1.04 mm high with z up"},
		"lying on its side":  {"solid = \"a.3mf\"\nup = \"x\"", "a.3mf", plain, "no hole fits; the part has no holes"},
		"stack too low":      {"solid = \"a.3mf\"\nup = \"z\"", "a.3mf", string(shapes.ThreeMF(shapes.Prism(sampleRegion(t), 0, 1.4, 0.01))), "layup: the stack of 2 composite layers of 0.32 mm and 2 covers of 0.2 mm is 1.04 mm high, the solid 1.4 mm; nearest are 2 composite layers and 4 covers, 1.44 mm"},
		"open":               {"solid = \"a.3mf\"\nup = \"z\"", "a.3mf", string(shapes.ThreeMF(open)), ""},
		"torn":               {"solid = \"a.3mf\"\nup = \"z\"", "a.3mf", string(shapes.ThreeMF(torn)), "a.3mf: 6 open edges, the first at (-2.135, 14.847, 1.04)"},
		"damaged":            {"solid = \"a.3mf\"\nup = \"z\"", "a.3mf", plain[:len(plain)/2], "a.3mf: is no 3MF package"},
	} {
		dir := writeFiles(t, map[string]string{FileName: solidText(c.lines), c.file: c.data})
		j, err := Open(dir, Options{})
		if err == nil {
			j.Close()
		}
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			} else if !strings.Contains(strings.Join(j.in.notes, "; "), "holes in the surface filled") {
				t.Errorf("%s: notes %q", name, j.in.notes)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// TestSolidRunsAgainWhenLayersChange: the stack cuts the solid, so that it
// belongs to the part's key.
func TestSolidRunsAgainWhenLayersChange(t *testing.T) {
	files := map[string]string{FileName: solidText("solid = \"a.3mf\"\nup = \"z\""), "a.3mf": string(shapes.ThreeMF(shapes.Prism(sampleRegion(t), 0, 1.04, 0.01)))}
	keyNow := func() string {
		j, err := Open(writeFiles(t, files), Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		text, err := json.Marshal(j.in.partKey)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	first := keyNow()
	if again := keyNow(); again != first {
		t.Error("the key differs for the same job")
	}
	files[FileName] = strings.Replace(files[FileName], "bottom = 1, top = 1", "bottom = 2, top = 0", 1)
	if other := keyNow(); other == first {
		t.Error("the key does not know the layers")
	}
}

// TestFacesAreNamed: a side is picked by its face; faces that are not there are
// answered with those that are.
func TestFacesAreNamed(t *testing.T) {
	files := map[string]string{"a.3mf": string(shapes.ThreeMF(shapes.Prism(sampleRegion(t), 0, 1.04, 0.01)))}
	withFace := func(lines, face string) error {
		files[FileName] = strings.Replace(solidText(lines), "[[support]]", "[[feature]]\nname = \"side\"\nside = { "+face+" }\n\n[[support]]", 1)
		j, err := Open(writeFiles(t, files), Options{})
		if err == nil {
			defer j.Close()
			f := j.in.part.Features[2]
			if e := j.in.part.Region.Loops()[f.Loop][f.Edges[0]]; f.Name != "side" || e.Label != "flat-1" {
				t.Errorf("feature %+v on edge %+v", f, e)
			}
		}
		return err
	}
	if err := withFace("solid = \"a.3mf\"\nup = \"z\"", `face = "flat-1"`); err != nil {
		t.Error(err)
	}
	for _, c := range [][3]string{
		{"solid = \"a.3mf\"\nup = \"z\"", `face = "flat-7"`, "no edge lies on face \"flat-7\"; the outline has flat-1, flat-2"},
		{"solid = \"a.3mf\"\nup = \"z\"", `layer = "0"`, "feature[2].side.layer: does not go with a solid"},
		{"drawing = \"a.dxf\"\nthickness = \"1 mm\"", `face = "flat-1"`, "feature[2].side.face: does not go with a drawing"},
	} {
		if err := withFace(c[0], c[1]); err == nil || !strings.Contains(err.Error(), c[2]) {
			t.Errorf("%s: %v, want %q", c[1], err, c[2])
		}
	}
}

// TestBodiesAreRefused: a ball has as many outlines as layers.
func TestBodiesAreRefused(t *testing.T) {
	ball, err := solid.Mend(shapes.Sphere(solid.Point{Z: 10}, 10, 48), solid.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	var tops []float64
	for i := range 50 {
		tops = append(tops, 0.4*float64(i+1))
	}
	slabs, notes, err := cutSlabs(ball, tops, 2)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(strings.Join(notes, "; "), "neither level nor upright") {
		t.Errorf("notes %q", notes)
	}
	if _, _, err := planOf(slabs); err == nil || !strings.Contains(err.Error(), "sinew plans plates with steps, not bodies; divide the part") {
		t.Errorf("%v", err)
	}
}

// TestExampleIsItsShape holds the example's file to what wrote it: with
// -update it is written anew.
func TestExampleIsItsShape(t *testing.T) {
	want := shapes.PocketedLink(20, 2.32, 4, 0.005)
	path := filepath.Join("..", "examples", "pocketed-link", "link.3mf")
	if flag.Lookup("update").Value.String() == "true" {
		if err := os.WriteFile(path, shapes.ThreeMF(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got, err := drawing.Read3MF(data, drawing.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got.Tris, want.Tris) || !slices.Equal(got.Points, want.Points) {
		t.Errorf("%s is not the shape of its writer; run with -update", path)
	}
	body, err := solid.Mend(&got.Mesh, solid.Settings{})
	if err != nil || len(body.Repairs) > 0 || body.Shells != 1 {
		t.Errorf("the example's file: %v %v", err, body)
	}
}

// TestStepsReachTheProof: the pocketed link's mass as metal is its volume, its
// layers know their outline, and it holds what its plan does not.
func TestStepsReachTheProof(t *testing.T) {
	const floor, top = pocketFloor, pocketTop
	r := pocketRun(t)
	if n := len(r.Part.Slabs); n != 2 || math.Abs(r.Part.Slabs[0].Top-floor) > 1e-9 || math.Abs(r.Part.Slabs[1].Top-top) > 1e-9 {
		t.Fatalf("slabs %+v", r.Part.Slabs)
	}
	volume := pocketShape().Volume()
	found := false
	for _, d := range r.Record.Designs {
		if strings.Contains(d.Name, "6061") {
			found = true
			if want := volume * 2.7e-3; math.Abs(d.MassG/want-1) > 0.02 { // density of the card; the rim runs through elements
				t.Errorf("%s weighs %g g, want %g", d.Name, d.MassG, want)
			}
		}
	}
	if !found {
		t.Error("no metal was compared")
	}
	pocket := geom.Point{X: 60, Y: 0}
	for i := range r.Print.Layers {
		l := &r.Print.Layers[i]
		upper := l.Z-l.Height/2 > floor
		for k := range l.Strands {
			for _, p := range l.Strands[k].Points {
				if d := p.Dist(pocket); upper && d < 11 {
					t.Fatalf("layer %d: a strand at %v over the pocket", i, p)
				}
			}
		}
	}
	ids := map[string]bool{}
	for _, f := range r.Record.Findings {
		ids[f.ID] = true
	}
	if !ids["offset-plane"] || ids["overhang"] || ids["not-plate-like"] {
		t.Errorf("findings %v", ids)
	}
	again := runJob(t, r.copied(t), Options{Workers: 1})
	if len(again.job.run.Reused) == 0 {
		t.Error("nothing was reused")
	}
}

// TestStepsBend: asked to, the proof follows what a pull bends where the middle
// plane steps, and takes pressure on a stepped part; the reserve falls by it, and
// no finding says that it was left out.
func TestStepsBend(t *testing.T) {
	text := strings.Replace(pocketText(), `kind = "steered"`, `kind = "straight"`, 1)
	link := string(shapes.ThreeMF(pocketShape()))
	dir := writeFiles(t, map[string]string{FileName: text, "link.3mf": link})
	flat := proveJob(t, dir)
	writeText(t, filepath.Join(dir, FileName), strings.Replace(text, "[mesh]\n", "[analysis]\nbending = true\n\n[mesh]\n", 1))
	bent := proveJob(t, dir)
	if p := bent.Record.Plate; p == nil || !p.Cases[0].Bends || !(math.Abs(p.Cases[0].DeflectionMM) > 1e-3) {
		t.Errorf("the pull does not bend the stepped part: %+v", p)
	}
	if a, b := bent.Record.Designs[0].Governing.Reserve, flat.Record.Designs[0].Governing.Reserve; !(a < 0.999*b) {
		t.Errorf("reserve %g with bending, %g without", a, b)
	}
	for want, r := range map[bool]*Results{true: flat, false: bent} {
		if got := slices.ContainsFunc(r.Record.Findings, func(f FindingRecord) bool { return f.ID == "offset-plane" }); got != want {
			t.Errorf("finding offset-plane %v, want %v", got, want)
		}
	}
}

// TestPocketThatOpensDown: its roof is laid over air: that stops the print, or
// is carried where the job asks for supports, which the program prints and its
// read-back knows.
func TestPocketThatOpensDown(t *testing.T) {
	text := strings.NewReplacer(`up = "z"`, `up = "-z"`, `kind = "steered"`, `kind = "straight"`).Replace(pocketText())
	link := string(shapes.ThreeMF(pocketShape()))
	for _, row := range []struct {
		keys     string
		supports bool
	}{{"", false}, {"supports = true\n", true}} {
		keyed := strings.Replace(text, "[layup]\n", "[layup]\n"+row.keys, 1)
		r := runJob(t, writeFiles(t, map[string]string{FileName: keyed, "link.3mf": link}), Options{})
		found := map[string]FindingRecord{}
		for _, f := range r.Record.Findings {
			found[f.ID] = f
		}
		_, over := found["overhang"]
		on := found["on-support"]
		if over == row.supports || (on.ID != "") != row.supports || (r.Record.Program != nil) != row.supports {
			t.Fatalf("%q: findings %v, program %v", row.keys, found, r.Record.Program)
		}
		if _, ok := found["support-contact"]; ok {
			t.Errorf("%+v", found["support-contact"])
		}
		if !row.supports {
			continue
		}
		if on.Layer != 4 || !r.Record.Program.ReadBack.Agrees {
			t.Errorf("%+v, %+v", on, r.Record.Program.ReadBack)
		}
		for k := range r.Print.Layers {
			n := 0
			for _, b := range r.Print.Layers[k].Beads {
				if b.Kind == strand.Support {
					n++
				}
			}
			if (n > 0) != (k < 3) {
				t.Errorf("layer %d has %d support beads", k, n)
			}
		}
	}
}

func TestSupportsAreChecked(t *testing.T) {
	for _, row := range []struct{ keys, want string }{
		{"supports = true", "layup.supports: means nothing for a drawing"},
		{"overhang = \"80 °\"", "layup.overhang: is 80°"},
		{"overhang = \"-5 °\"", "layup.overhang: is -5°"},
	} {
		_, err := Open(writeFiles(t, map[string]string{FileName: replaceOnce(smallText, "[layup]\n", "[layup]\n"+row.keys+"\n"), sampleName: string(sampleDrawing)}), Options{})
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.keys, err)
		}
	}
}
