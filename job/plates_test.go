package job

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/part"
)

const analysis = "[analysis]\nbuckling = 2\nfrequencies = 3\nwarp = true\nvtu = true\n\n[mesh]\n"

// A job with everything across the plane: the record holds what was asked, the
// margins hold the bending, and a second run gives the same from what was kept.
func TestJobAsPlate(t *testing.T) {
	dir := changedJob(t, `"4 mm"`, `"9 mm"`, "[mesh]\n", "[compare]\nmetals = [\"aluminium-6061-t6\"]\n\n"+analysis, `kind = "steered"`, `kind = "straight"`, "[[probe]]", `[[case]]
name = "press"
pressure = "0.002 MPa"
acceleration_z = "9.81 m/s²"
  [[case.point]]
  at = ["40 mm", "5 mm"]
  force = "-0.5 N"

[[case]]
name = "bolt"
spin = { rpm = 300.0, center = ["40 mm", "0 mm"] }
  [[case.load]]
  at = "right hole"
  how = "bolt"
  force = "20 N"
  out = "1 N"
  moment = ["5 N mm", "0 N mm"]
  spoke = "900 MPa"

[[case]]
name = "push"
  [[case.load]]
  at = "right hole"
  how = "half-pin"
  force = "30 N"
  angle = "180 °"

[[probe]]`)
	r := proveJob(t, dir)
	p := r.Record.Plate
	if p == nil || len(p.Cases) != 4 || len(p.FrequenciesHz) != 3 || p.Warp == nil {
		t.Fatalf("the record of the plate is %+v", p)
	}
	for i, bends := range []bool{false, true, true, false} {
		c := p.Cases[i]
		if c.Bends != bends {
			t.Errorf("case %s: judged as a plate %v", c.Case, c.Bends)
		}
		if bends && !(math.Abs(c.DeflectionMM) > 0.01) {
			t.Errorf("case %s deflects %g mm", c.Case, c.DeflectionMM)
		}
		if q := c.Probes; len(q) != 1 || q[0].Name != r.Record.Probes[0].Name || bends && !(q[0].Across != 0 && math.Abs(q[0].Across) <= math.Abs(c.DeflectionMM) && q[0].Top != q[0].Bottom) {
			t.Errorf("case %s: probes read %+v", c.Case, q)
		}
	}
	if b := p.Cases[3].Buckling; len(b) != 2 || !(b[0] > 0 && b[0] <= b[1]) {
		t.Errorf("pushed, it buckles at %v", b)
	}
	if w := p.Warp; w.CoolingK != 65-23 || !(w.HeightMM >= 0) {
		t.Errorf("warp %+v", w)
	}
	for _, c := range r.Record.Designs[0].Cases {
		if len(c.Margins) == 0 {
			t.Errorf("case %s has no margins", c.Case)
		}
	}
	data, err := os.ReadFile(filepath.Join(dir, "out", plateName))
	if err != nil || !bytes.Contains(data, []byte("press: displacement, mm")) {
		t.Errorf("the fields: %v, %d bytes", err, len(data))
	}
	checkShapes(t, dir, p)
	again := proveJob(t, dir)
	if len(again.job.run.Reused) != 3 || again.Record.Plate.Warp.HeightMM != p.Warp.HeightMM {
		t.Errorf("reused %v", again.job.run.Reused)
	}
	for _, name := range []string{"press: composite layer 2: fibre index", "bolt: plain layer 2 top: stress 11 22 12, MPa", "bolt: least reserve factor"} {
		if !bytes.Contains(data, []byte(name)) {
			t.Errorf("the file of fields has no %q", name)
		}
	}
	if kept, err := os.ReadFile(filepath.Join(dir, "out", stagesFolder, stageProve+".gob")); err != nil || bytes.Contains(kept, []byte("<VTKFile")) {
		t.Errorf("the fields are kept a second time (%v)", err)
	}
	if err := os.Remove(filepath.Join(dir, "out", plateName)); err != nil {
		t.Fatal(err)
	}
	third := proveJob(t, dir)
	if new, err := os.ReadFile(filepath.Join(dir, "out", plateName)); err != nil || !bytes.Equal(new, data) || len(third.job.run.Reused) != 2 {
		t.Errorf("the file that was taken away: %v, reused %v", err, third.job.run.Reused)
	}
}

// checkShapes looks at every shape that the job asks for, and holds it against
// the record.
func checkShapes(t *testing.T, dir string, p *PlateRecord) {
	v, err := KeptViews(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	ctx, counts := context.Background(), map[string]int{}
	for _, k := range v.Summary().Shapes {
		name, _, isMode := strings.Cut(k.ID, ".")
		counts[name]++
		a, err := v.Shape(ctx, k.ID, max(0, k.Case))
		if err != nil {
			t.Fatalf("%s: %v", k.ID, err)
		}
		u := a.of(t, "u").F32
		if len(u) != 3*len(v.mesh.Mesh.Nodes) || isMode != (a.Meta["unit"] == "") || isMode != (k.Value > 0) {
			t.Errorf("%s: %d numbers, %v", k.ID, len(u), a.Meta)
		}
		across := math.Max(-a.Meta["lo"].(float64), a.Meta["hi"].(float64))
		if want := math.Abs(p.Cases[max(0, k.Case)].DeflectionMM); name == shapeDeflected && across != want || isMode && math.Abs(across-1) > 1e-9 {
			t.Errorf("%s: greatest %g across, want %g", k.ID, across, want)
		}
	}
	if counts[shapeDeflected] != 4 || counts[shapeBuckled] < 2 || counts[shapeSwinging] != 3 || counts[shapeWarped] != 1 {
		t.Errorf("shapes %v", counts)
	}
	low, err := v.Field(ctx, FieldQuery{Quantity: "layer.fibre_stress", Case: 1, Layer: v.firstComposite(), Face: "bottom"})
	if err != nil {
		t.Fatal(err)
	}
	if top, err := v.Field(ctx, FieldQuery{Quantity: "layer.fibre_stress", Case: 1, Layer: v.firstComposite(), Face: "top"}); err != nil || top.Meta["hi"] == low.Meta["hi"] {
		t.Errorf("under a pressure the faces of a layer carry the same: %v, %v", top, err)
	}
}

// firstComposite is the lowest layer that holds strands.
func (v *Views) firstComposite() int {
	for _, y := range v.Summary().Layers {
		if y.Composite >= 0 {
			return y.Index
		}
	}
	return -1
}

// Pressure on the face counts in the reserve: twice the pressure halves it.
// And a part that buckles below what is required does not pass.
func TestBendingCounts(t *testing.T) {
	least := func(pressure string) float64 {
		r := proveJob(t, changedJob(t, `  [[case.load]]
  at = "right hole"
  how = "bearing"
  force = "60 N"
  angle = "0 °"
`, `pressure = "`+pressure+`"`, `kind = "steered"`, `kind = "straight"`, `"4 mm"`, `"9 mm"`))
		return r.Record.Designs[0].Governing.Reserve
	}
	one, two := least("0.002 MPa"), least("0.004 MPa")
	if math.Abs(one/two-2) > 0.01 {
		t.Errorf("reserve %g under a pressure, %g under twice of it", one, two)
	}
	r := proveJob(t, changedJob(t, `angle = "0 °"`, `angle = "180 °"`, `"4 mm"`, `"9 mm"`, "[mesh]\n", "[require]\nbuckling = 900.0\n\n[analysis]\nbuckling = 1\n\n[mesh]\n"))
	if v := r.Record.Verdict; v.Passes || !strings.Contains(strings.Join(v.Reasons, "\n"), "buckles at") {
		t.Errorf("verdict %+v, plate %+v", v, r.Record.Plate)
	}
}

// Temperatures of a case: linear through one, two or three places, and between
// the faces.
func TestTemperatures(t *testing.T) {
	for _, row := range []struct {
		keys string
		want part.Heat
	}{
		{`temperature_change = "12 K"`, part.Heat{Change: 12}},
		{`temperature_across = "26 K"`, part.Heat{Across: 25}},
		{`temperature = [{ at = ["3 mm", "4 mm"], change = "8 K" }]`, part.Heat{Change: 8}},
		{`temperature = [{ at = ["10 mm", "0 mm"], change = "8 K" }, { at = ["60 mm", "0 mm"], change = "18 K" }]`, part.Heat{Change: 6, Slope: geom.Point{X: 0.2}}},
		{`temperature = [{ at = ["0 mm", "0 mm"], change = "4 K" }, { at = ["50 mm", "0 mm"], change = "9 K" }, { at = ["0 mm", "10 mm"], change = "2 K" }]`, part.Heat{Change: 4, Slope: geom.Point{X: 0.1, Y: -0.2}}},
	} {
		j, err := Open(changedJob(t, "factor = 1.5", "factor = 1.5\n"+row.keys), Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := j.in.part.Cases[0].Heat
		j.Close()
		for _, d := range []float64{got.Change - row.want.Change, got.Slope.X - row.want.Slope.X, got.Slope.Y - row.want.Slope.Y, got.Across - row.want.Across} {
			if math.Abs(d) > 1e-9 {
				t.Errorf("%s: %+v, want %+v", row.keys, got, row.want)
			}
		}
	}
}

// Elastic spokes count in the plane, without bending: soft ones add their own
// give, 1/(spoke·π·d) of a bolt of diameter d.
func TestSpokesInPlane(t *testing.T) {
	give := func(spoke string) float64 {
		r := proveJob(t, changedJob(t, `how = "bearing"`, `how = "bolt"`+spoke, `kind = "steered"`, `kind = "straight"`))
		if r.Record.Plate != nil {
			t.Errorf("a bolt in the plane is analysed as a plate: %+v", r.Record.Plate)
		}
		return 1 / r.Record.Designs[0].Stiffness
	}
	rigid, soft := give(""), give("\n  spoke = \"2 MPa\"")
	if want := 1 / (2 * math.Pi * 8); math.Abs((soft-rigid)/want-1) > 0.02 {
		t.Errorf("the spokes give %g mm/N, want %g", soft-rigid, want)
	}
}

// A part thicker than half its width is no plate, and says so.
func TestNotPlateLike(t *testing.T) {
	for thickness, want := range map[string]int{"1.04 mm": 0, "15.76 mm": 1} {
		j, err := Open(changedJob(t, `"1.04 mm"`, `"`+thickness+`"`), Options{})
		if err != nil {
			t.Fatal(err)
		}
		found := j.shapeFindings()
		j.Close()
		if len(found) != want || want > 0 && (found[0].ID != "not-plate-like" || found[0].Severity != "warn") {
			t.Errorf("%s thick: %+v", thickness, found)
		}
	}
}

// The record of a job says how its equations were solved; one that may take next
// to no memory is refused with the key to change.
func TestMemoryOfTheAnalysis(t *testing.T) {
	r := plainRun(t).Record
	if e := r.Equations; e == nil || e.Iterated || e.Unknowns < r.Mesh.Nodes || e.Bytes < 8*e.Unknowns || !(e.Condition > 1e3) {
		t.Errorf("equations %+v", e)
	}
	j, err := Open(changedJob(t, "[mesh]\n", "[analysis]\nmemory = \"1 MiB\"\n\n[mesh]\n"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if got := j.judge().Memory; got != 1<<20 {
		t.Errorf("the proof may take %d bytes", got)
	}
	if _, err := j.Run(context.Background(), Prove, "prove"); err == nil || !strings.Contains(err.Error(), "analysis.memory") {
		t.Errorf("next to no memory: %v", err)
	}
}

// Each key across the plane refuses what cannot be, at its place.
func TestPlateKeysRefuse(t *testing.T) {
	for _, row := range []struct {
		name, from, to, want string
	}{
		{"unknown way across", `how = "fixed"`, "how = \"fixed\"\nacross = \"glued\"", "support[0].across|held"},
		{"spokes of a fixed hole", `how = "fixed"`, "how = \"fixed\"\nspoke = \"5 MPa\"", "support[0].spoke|fixed"},
		{"out of a bearing", `force = "60 N"`, "force = \"60 N\"\nout = \"5 N\"", "case[0].load[0]|bolt"},
		{"spokes of a bearing", `force = "60 N"`, "force = \"60 N\"\nspoke = \"5 MPa\"", "case[0].load[0].spoke|bearing"},
		{"point outside", `factor = 1.5`, "factor = 1.5\npoint = [{ at = [\"400 mm\", \"0 mm\"], force = \"1 N\" }]", "case[0].point[0].at|outside"},
		{"point without force", `factor = 1.5`, "factor = 1.5\npoint = [{ at = [\"40 mm\", \"0 mm\"], force = \"0 N\" }]", "case[0].point[0].force|zero"},
		{"spin of nothing", `factor = 1.5`, "factor = 1.5\nspin = { rpm = 0.0 }", "case[0].spin.rpm"},
		{"pressure without end", `factor = 1.5`, "factor = 1.5\npressure = \"1e9 MPa\"", "case[0].pressure"},
		{"too many modes", "[mesh]\n", "[analysis]\nbuckling = 99\n[mesh]\n", "analysis.buckling"},
		{"negative modes", "[mesh]\n", "[analysis]\nfrequencies = -1\n[mesh]\n", "analysis.frequencies"},
		{"stress-free without warp", "[mesh]\n", "[analysis]\nstress_free = \"90 °C\"\n[mesh]\n", "analysis.stress_free|warp"},
		{"four places of temperature", `factor = 1.5`, "factor = 1.5\ntemperature = [{ at = [\"0 mm\", \"0 mm\"], change = \"1 K\" }, { at = [\"1 mm\", \"0 mm\"], change = \"1 K\" }, { at = [\"0 mm\", \"1 mm\"], change = \"1 K\" }, { at = [\"9 mm\", \"9 mm\"], change = \"1 K\" }]", "case[0].temperature|4 places"},
		{"places in line", `factor = 1.5`, "factor = 1.5\ntemperature = [{ at = [\"0 mm\", \"0 mm\"], change = \"1 K\" }, { at = [\"10 mm\", \"0 mm\"], change = \"1 K\" }, { at = [\"20 mm\", \"0 mm\"], change = \"5 K\" }]", "case[0].temperature[2].at|in line"},
		{"one place twice", `factor = 1.5`, "factor = 1.5\ntemperature = [{ at = [\"5 mm\", \"0 mm\"], change = \"1 K\" }, { at = [\"5 mm\", \"0 mm\"], change = \"2 K\" }]", "case[0].temperature[1].at"},
		{"too steep", `factor = 1.5`, "factor = 1.5\ntemperature = [{ at = [\"0 mm\", \"0 mm\"], change = \"0 K\" }, { at = [\"1 mm\", \"0 mm\"], change = \"20 K\" }]", "case[0].temperature|carried on"},
		{"even and by place", `factor = 1.5`, "factor = 1.5\ntemperature_change = \"5 K\"\ntemperature = [{ at = [\"0 mm\", \"0 mm\"], change = \"0 K\" }]", "case[0].temperature_change|places"},
		{"hot face", `factor = 1.5`, "factor = 1.5\ntemperature_across = \"900 K\"", "case[0].temperature_across"},
		{"next to no memory", "[mesh]\n", "[analysis]\nmemory = \"2 kB\"\n[mesh]\n", "analysis.memory"},
		{"memory as a number", "[mesh]\n", "[analysis]\nmemory = 4\n[mesh]\n", "memory"},
		{"memory of another kind", "[mesh]\n", "[analysis]\nmemory = \"4 mm\"\n[mesh]\n", "memory"},
		{"foundation of nothing", "[mesh]\n", "[analysis]\nfoundation = { pressure = \"0 MPa\", sinks = \"1 mm\" }\n[mesh]\n", "analysis.foundation.pressure"},
		{"steered by pressure alone", "  [[case.load]]\n  at = \"right hole\"\n  how = \"bearing\"\n  force = \"60 N\"\n  angle = \"0 °\"\n", "pressure = \"0.01 MPa\"\n", "layup.family[0].kind|straight"},
		{"buckling required below 0", "[mesh]\n", "[require]\nbuckling = -1.0\n[mesh]\n", "require.buckling"},
	} {
		_, err := Open(changedJob(t, row.from, row.to), Options{})
		for _, want := range strings.Split(row.want, "|") {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, want %q", row.name, err, want)
			}
		}
	}
	j, err := Open(changedJob(t, "[mesh]\n", "[analysis]\nwarp = true\nstress_free = \"10 °C\"\n[mesh]\n"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if _, err := j.Run(context.Background(), Prove, "prove"); err == nil || !strings.Contains(err.Error(), "nothing cools") {
		t.Errorf("a print that does not cool: %v", err)
	}
}
