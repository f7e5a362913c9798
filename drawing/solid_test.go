package drawing

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/golden"
	"sinew/internal/shapes"
	"sinew/solid"
)

// binarySTL writes a mesh as binary STL.
func binarySTL(m *solid.Mesh) []byte {
	b := make([]byte, stlHead, stlHead+stlRecord*len(m.Tris))
	binary.LittleEndian.PutUint32(b[80:], uint32(len(m.Tris)))
	for _, t := range m.Tris {
		var r [stlRecord]byte
		for k, v := range t {
			p := m.Points[v]
			for i, x := range [3]float64{p.X, p.Y, p.Z} {
				binary.LittleEndian.PutUint32(r[12+12*k+4*i:], math.Float32bits(float32(x)))
			}
		}
		b = append(b, r[:]...)
	}
	return b
}

// textSTL writes a mesh as text.
func textSTL(m *solid.Mesh) []byte {
	var b bytes.Buffer
	b.WriteString("solid a part facet\r\n")
	for _, t := range m.Tris {
		b.WriteString(" facet normal 0 0 0\n  outer loop\n")
		for _, v := range t {
			p := m.Points[v]
			fmt.Fprintf(&b, "   vertex %.7g %.7g %.7g\n", p.X, p.Y, p.Z)
		}
		b.WriteString("  endloop\n endfacet\n")
	}
	b.WriteString("endsolid a part\n")
	return b.Bytes()
}

// model3MF wraps a model's text as a package.
func model3MF(text string, more ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	parts := append([]string{
		"[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>`,
		"_rels/.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/a.model" Id="a" Type="` + modelRelation + `"/></Relationships>`,
		"3D/a.model", text,
	}, more...)
	for i := 0; i < len(parts); i += 2 {
		w, err := z.Create(parts[i])
		if err == nil {
			_, err = w.Write([]byte(parts[i+1]))
		}
		if err != nil {
			panic(err)
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// meshXML is an object's mesh as text.
func meshXML(m *solid.Mesh) string {
	var b strings.Builder
	b.WriteString("<mesh><vertices>")
	for _, p := range m.Points {
		fmt.Fprintf(&b, `<vertex x="%.9g" y="%.9g" z="%.9g"/>`, p.X, p.Y, p.Z)
	}
	b.WriteString("</vertices><triangles>")
	for _, t := range m.Tris {
		fmt.Fprintf(&b, `<triangle v1="%d" v2="%d" v3="%d"/>`, t[0], t[1], t[2])
	}
	b.WriteString("</triangles></mesh>")
	return b.String()
}

const modelHead = `<?xml version="1.0" encoding="UTF-8"?><model unit="millimeter" xmlns="` + coreSpace + `" xmlns:p="` + productionSpace + `">`

func volumeOf(t *testing.T, d *Surface) float64 {
	t.Helper()
	s, err := solid.Mend(&d.Mesh, solid.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return s.Volume()
}

func TestSTLFormsAgree(t *testing.T) {
	mesh := shapes.Prism(shapes.Link(120, 40, 14, 16), 0, 5, 0.01)
	want := mesh.Volume()
	named := binarySTL(mesh)
	copy(named, "solid in a binary file")
	for name, data := range map[string][]byte{"binary": binarySTL(mesh), "text": textSTL(mesh), "binary that says solid": named} {
		for unit, scale := range map[string]float64{"mm": 1, "in": 25.4} {
			d, err := ReadSTL(data, Settings{Units: unit})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if v := volumeOf(t, d); math.Abs(v/(want*scale*scale*scale)-1) > 1e-5 { // single precision
				t.Errorf("%s, %s: volume %g, want %g", name, unit, v, want*scale*scale*scale)
			}
		}
	}
}

func TestBadSTL(t *testing.T) {
	cube := shapes.Prism(shapes.Rectangle(0, 0, 1, 1), 0, 1, 1)
	huge := binarySTL(cube)
	binary.LittleEndian.PutUint32(huge[80:], math.MaxUint32)
	nan := binarySTL(cube)
	binary.LittleEndian.PutUint32(nan[stlHead+stlRecord+12:], 0x7fc00000)
	far := binarySTL(cube)
	binary.LittleEndian.PutUint32(far[stlHead+12:], math.Float32bits(1e30))
	text := string(textSTL(cube))
	for name, c := range map[string]struct{ data, want string }{
		"empty":                {"", "too few"},
		"2³² triangles":        {string(huge), "4294967295 triangles are announced, but the file holds 12"},
		"a NaN":                {string(nan), "triangle 2: a corner at (NaN"},
		"far away":             {string(far), "triangle 1: a corner at (1"},
		"no triangles":         {string(binarySTL(&solid.Mesh{})), "no triangles"},
		"cut short":            {text[:len(text)/2], "line"},
		"text NaN":             {strings.Replace(text, "vertex 0", "vertex nan", 1), `line 4: "nan" is no number`},
		"text infinity":        {strings.Replace(text, "vertex 0", "vertex 1e999", 1), "is no number"},
		"hexadecimal":          {strings.Replace(text, "vertex 0", "vertex 0x1p4", 1), "is no number"},
		"four corners":         {strings.Replace(text, "endloop", "vertex 0 0 0", 1), `stands where "endloop" must`},
		"no such word":         {strings.Replace(text, "outer", "inner", 1), `"inner" stands where "outer" must`},
		"text without end":     {strings.TrimSuffix(text, "endsolid a part\n"), "ends before"},
		"empty text":           {"solid x\nendsolid x\n", "no triangles"},
		"something at the end": {text + "facet", `"facet" stands where "solid" must`},
	} {
		_, err := ReadSTL([]byte(c.data), Settings{Units: "mm"})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if _, err := ReadSTL(binarySTL(cube), Settings{}); err == nil || !strings.Contains(err.Error(), "part.units") {
		t.Errorf("no unit: %v", err)
	}
	d, err := ReadSTL(append(binarySTL(cube), "tail"...), Settings{Units: "mm"})
	if err != nil || len(d.Notes) != 1 {
		t.Errorf("bytes after the last triangle: %v %v", d, err)
	}
}

func TestComponentsAndTransforms(t *testing.T) {
	cube := "<object id=\"1\" type=\"model\">" + meshXML(shapes.Prism(shapes.Rectangle(0, 0, 1, 1), 0, 1, 1)) + "</object>"
	const build = `<build><item objectid="3" transform="2 0 0 0 2 0 0 0 2 100 0 0"/></build></model>`
	text := modelHead + "<resources>" + cube +
		`<object id="2"><components><component objectid="1" transform="0 1 0 -1 0 0 0 0 1 3 0 0"/><component objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 5 0"/></components></object>` +
		`<object id="3"><components><component objectid="2"/><component objectid="1" transform="1 0 0 0 1 0 0 0 3 0 0 7"/></components></object></resources>` + build
	d, err := Read3MF(model3MF(text), Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if v := volumeOf(t, d); math.Abs(v-8*5) > 1e-9 { // two cubes and one of triple height, at twice the size
		t.Errorf("volume %g, want 40", v)
	}
	s, err := solid.Mend(&d.Mesh, solid.Settings{})
	if err != nil || len(s.Repairs) > 0 || s.Shells != 3 {
		t.Fatalf("%v %+v", err, s)
	}
	// The first turns x into y: corners (2..3, 0..1), doubled and shifted; the
	// second is mirrored: (-1..0, 5..6); the third stands at z = 7 … 10.
	b := s.Bounds()
	want := solid.Box{Min: solid.Point{X: 98, Y: 0, Z: 0}, Max: solid.Point{X: 106, Y: 12, Z: 20}}
	if b.Min.Sub(want.Min).Norm() > 1e-9 || b.Max.Sub(want.Max).Norm() > 1e-9 {
		t.Errorf("box %v, want %v", b, want)
	}
}

func TestProductionParts(t *testing.T) {
	cube := modelHead + "<resources><object id=\"7\">" + meshXML(shapes.Prism(shapes.Rectangle(0, 0, 1, 1), 0, 1, 1)) + "</object></resources><build/></model>"
	root := modelHead + `<resources><object id="1"><components><component p:path="/3D/parts/b.model" objectid="7"/></components></object></resources>` +
		`<build><item objectid="1"/><item p:path="/3D/PARTS/b.model" objectid="7" transform="1 0 0 0 1 0 0 0 1 9 0 0"/></build></model>`
	d, err := Read3MF(model3MF(root, "3D/parts/b.model", cube), Settings{Units: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	if v := volumeOf(t, d); math.Abs(v-2) > 1e-9 {
		t.Errorf("volume %g, want 2", v)
	}
	inch := strings.Replace(cube, "millimeter", "inch", 1)
	if _, err := Read3MF(model3MF(root, "3D/parts/b.model", inch), Settings{}); err == nil || !strings.Contains(err.Error(), "is in inch") {
		t.Errorf("parts in two units: %v", err)
	}
}

func TestBad3MF(t *testing.T) {
	tetra := `<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/><vertex x="0" y="0" z="1"/></vertices>` +
		`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="2" v2="0" v3="3"/></triangles></mesh>`
	whole := modelHead + `<resources><object id="1">` + tetra + `</object></resources><build><item objectid="1"/></build></model>`
	if _, err := Read3MF(model3MF(whole), Settings{}); err != nil {
		t.Fatal(err)
	}
	swap := func(old, new string) []byte { return model3MF(strings.Replace(whole, old, new, 1)) }
	chain := modelHead + `<resources><object id="1">` + tetra + `</object>`
	for i := 2; i < 40; i++ {
		chain += fmt.Sprintf(`<object id="%d"><components><component objectid="%d"/><component objectid="%d"/></components></object>`, i, i-1, i-1)
	}
	doubling := chain + `</resources><build><item objectid="25"/></build></model>`
	deep := chain + `</resources><build><item objectid="39"/></build></model>`
	ring := modelHead + `<resources><object id="1"><components><component objectid="2"/></components></object><object id="2"><components><component objectid="1"/></components></object></resources><build><item objectid="1"/></build></model>`
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"no archive":           {[]byte("PK no"), "is no 3MF package"},
		"no model":             {model3MF(""), "ends too early"},
		"not XML":              {model3MF("<model"), "cannot be read"},
		"tags cross":           {swap("</object></resources>", "</resources></object>"), "has no start tag"},
		"two documents":        {model3MF(whole + whole[strings.Index(whole, "<model"):]), "second document"},
		"a DTD":                {model3MF(`<!DOCTYPE model [<!ENTITY a "b">]>` + whole), "document type definition"},
		"an entity":            {swap(`x="1"`, `x="&a;"`), "cannot be read"},
		"no namespace":         {swap(` xmlns="`+coreSpace+`"`, ""), "not with a model of 3MF"},
		"cyclic components":    {model3MF(ring), "object 1 contains itself"},
		"doubling components":  {model3MF(doubling), "more than 100000 objects are placed"},
		"deep components":      {model3MF(deep), "nest more than 32 deep"},
		"no such object":       {swap(`objectid="1"`, `objectid="5"`), "there is no object 5"},
		"no such corner":       {swap(`v3="1"`, `v3="4"`), "uses a corner that is not there"},
		"a negative corner":    {swap(`v3="1"`, `v3="-1"`), "is no corner"},
		"a NaN":                {swap(`x="1"`, `x="NaN"`), `"NaN" is no number`},
		"an infinity":          {swap(`x="1"`, `x="1e400"`), "is no number"},
		"far away":             {swap(`x="1"`, `x="1e20"`), "a corner at (1e+20"},
		"no z":                 {swap(`<vertex x="1" y="0" z="0"/>`, `<vertex x="1" y="0"/>`), "without x, y or z"},
		"two corners":          {swap(`<triangle v1="0" v2="2" v3="1"/>`, `<triangle v1="0" v2="2"/>`), "without v1, v2 or v3"},
		"flat transform":       {swap(`objectid="1"`, `objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"`), "flattens"},
		"NaN transform":        {swap(`objectid="1"`, `objectid="1" transform="nan 0 0 0 1 0 0 0 1 0 0 0"`), "is no number"},
		"short transform":      {swap(`objectid="1"`, `objectid="1" transform="1 0 0"`), "3 numbers instead of 12"},
		"unknown unit":         {swap("millimeter", "cubit"), `the unit "cubit"`},
		"required extension":   {swap(`<model `, `<model requiredextensions="s" xmlns:s="urn:slices" `), "urn:slices"},
		"undeclared extension": {swap(`<model `, `<model requiredextensions="q" `), "without saying what it is"},
		"nothing built":        {swap(`<item objectid="1"/>`, ""), "builds no triangles"},
		"support only":         {swap(`<object id="1">`, `<object id="1" type="support">`), "builds no triangles"},
		"a part missing":       {swap(`<item objectid="1"/>`, `<item objectid="1" p:path="/3D/none.model"/>`), "is missing"},
		"a giant tag":          {swap(`x="1"`, `x="`+strings.Repeat(" ", 2*maxToken)+`"`), "a tag or text of more than 1 MiB"},
	} {
		_, err := Read3MF(c.data, Settings{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if _, err := Read3MF(model3MF(whole), Settings{Units: "in"}); err == nil || !strings.Contains(err.Error(), "states millimeter, the job in") {
		t.Errorf("contradicted unit: %v", err)
	}
}

// bomb writes a package whose model unpacks to zeros of the given size.
func bomb(t *testing.T, size int64) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range []string{"[Content_Types].xml", "3D/a.model"} {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if name == "3D/a.model" {
			zeros := make([]byte, 1<<20)
			for range size >> 20 {
				if _, err := w.Write(zeros); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestZipBombs(t *testing.T) {
	data := bomb(t, maxInflated+1<<20)
	p, err := openPackage(data)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.open("/3D/a.model"); err == nil || !strings.Contains(err.Error(), "unpacks to more than 512 MiB") {
		t.Errorf("a part that announces too much: %v", err)
	}
	p.parts[partName("/3D/a.model")].UncompressedSize64 = 1 // a lie
	text, err := p.open("/3D/a.model")
	if err != nil {
		t.Fatal(err)
	}
	p.left, text.token = 1<<20, maxInflated
	if n, err := io.Copy(io.Discard, text); err == nil || n > 1<<20 {
		t.Errorf("%d bytes were unpacked from a part that lies about its size (%v)", n, err)
	}
}

func TestUTF16Model(t *testing.T) {
	text := strings.Replace(modelHead, "UTF-8", "UTF-16", 1) + "<resources><object id=\"1\" name=\"θ 𝛼\">" + meshXML(shapes.Prism(shapes.Rectangle(0, 0, 1, 1), 0, 1, 1)) + `</object></resources><build><item objectid="1"/></build></model>`
	wide := func(order binary.ByteOrder) string {
		b := []byte{0, 0}
		order.PutUint16(b, 0xfeff)
		for _, c := range text {
			if c > 0xffff {
				c -= 0x10000
				b = append(b, 0, 0, 0, 0)
				order.PutUint16(b[len(b)-4:], uint16(0xd800+c>>10))
				order.PutUint16(b[len(b)-2:], uint16(0xdc00+c&0x3ff))
				continue
			}
			b = append(b, 0, 0)
			order.PutUint16(b[len(b)-2:], uint16(c))
		}
		return string(b)
	}
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		d, err := Read3MF(model3MF(wide(order)), Settings{})
		if err != nil {
			t.Fatal(err)
		}
		if v := volumeOf(t, d); math.Abs(v-1) > 1e-9 {
			t.Errorf("volume %g, want 1", v)
		}
	}
}

// samplesPage is the table that the test of the samples writes.
const samplesPage = "../../docs/format/3mf.md"

const samplesHead = `# Solids: 3MF

Read: the core specification and the production extension (ISO/IEC 25422; 3MF
Consortium, Core Specification 1.3 and Production Extension 1.1): model parts,
objects of type model, meshes, components with transforms (mirroring ones too),
build items, all units. All build items together are the part. Component and
item paths lead to other model parts, which must be in the unit of the one that
is built.

Not read, with a note: colours, materials, textures, supports, other
extensions. A package that *requires* an extension which shapes the solid is
refused. So is one that breaks the rules of package or structure: relationships
that lead nowhere or out of the package, a second part of a name, text that is
neither UTF-8 nor UTF-16, a document type definition, ids used twice, corners or
objects that are not there, components that contain themselves.

Bounds, whatever a file announces: 512 MiB unpacked, 1 MiB a tag, 64 levels of
XML, 10 000 parts, 1 000 model parts, 100 000 objects placed, 32 levels of
components, 5 million triangles, coordinates to 10 km.

## The consortium's samples

Made by ` + "`go test ./drawing -run Samples -update`" + ` from the consortium's public
samples, which lie in drawing/testdata/3mf under their licence (BSD-2-Clause).

`

// TestConsortiumSamples reads the 3MF Consortium's sample files (testdata/3mf,
// BSD-2-Clause, licence beside them): must-pass files load and bound a solid;
// must-fail files are refused where geometry or structure is at fault, and
// load where only colours and materials are, which are not read.
func TestConsortiumSamples(t *testing.T) {
	colours := []string{"MissingMatidMatIndices", "MissingPIDs", "MultipleReference", "ReferenceToMultiProperties", "2DTexture_MissingPath"}
	var page strings.Builder
	page.WriteString(samplesHead + "| file | must | does | because |\n|---|---|---|---|\n")
	n := 0
	for _, folder := range []string{"core", "production", "must-pass", "must-fail"} {
		list, err := filepath.Glob(filepath.Join("testdata", "3mf", folder, "*.3mf"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range list {
			n++
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			must, does, why := "load", "loads", ""
			if folder == "must-fail" {
				must = "fail"
			}
			d, err := Read3MF(data, Settings{})
			if err != nil {
				does, why = "is refused", err.Error()
			} else {
				why = worded(t, path, d)
			}
			colourFault := false
			for _, c := range colours {
				colourFault = colourFault || strings.Contains(path, c)
			}
			if wantLoad := must == "load" || colourFault; wantLoad != (err == nil) {
				t.Errorf("%s: must %s, %s: %s", path, must, does, why)
			}
			if colourFault {
				why = "only a material is at fault, and materials are not read: " + why
			}
			fmt.Fprintf(&page, "| %s/%s | %s | %s | %s |\n", folder, strings.TrimSuffix(filepath.Base(path), ".3mf"), must, does, strings.ReplaceAll(why, "|", "\\|"))
		}
	}
	if n < 30 {
		t.Fatalf("only %d samples", n)
	}
	golden.Compare(t, samplesPage, []byte(page.String()))
}

// worded mends a sample and says what it holds.
func worded(t *testing.T, path string, d *Surface) string {
	t.Helper()
	s, err := solid.Mend(&d.Mesh, solid.Settings{})
	if err != nil {
		t.Errorf("%s: %v", path, err)
		return err.Error()
	}
	text := fmt.Sprintf("%d triangles, %d shells, %.6g mm³", len(s.Tris), s.Shells, s.Volume())
	for _, r := range s.Repairs {
		text += "; " + r.String()
	}
	return text
}

func FuzzReadSTL(f *testing.F) {
	cube := shapes.Prism(shapes.Rectangle(0, 0, 1, 1), 0, 1, 1)
	f.Add(binarySTL(cube))
	f.Add(textSTL(cube))
	f.Add([]byte("solid"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if d, err := ReadSTL(data, Settings{Units: "mm"}); err == nil {
			cutAnyhow(t, d)
		}
	})
}

func FuzzRead3MF(f *testing.F) {
	cube := modelHead + "<resources><object id=\"1\">" + meshXML(shapes.Prism(shapes.Rectangle(0, 0, 1, 1), 0, 1, 1)) + `</object></resources><build><item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 0"/></build></model>`
	f.Add(cube, true)
	f.Add(modelHead, true)
	f.Add(string(model3MF(cube)), false)
	f.Fuzz(func(t *testing.T, text string, wrap bool) {
		data := []byte(text)
		if wrap {
			data = model3MF(text)
		}
		if d, err := Read3MF(data, Settings{}); err == nil {
			cutAnyhow(t, d)
		}
	})
}

// cutAnyhow takes whatever a reader accepts through the steps that follow:
// none may panic.
func cutAnyhow(t *testing.T, d *Surface) {
	s, err := solid.Mend(&d.Mesh, solid.Settings{})
	if err != nil {
		return
	}
	b := s.Bounds()
	var z []float64
	for i := range 4 {
		h := b.Min.Z + b.Size().Z*float64(i+1)/4
		if len(z) == 0 || h > z[len(z)-1] {
			z = append(z, h)
		}
	}
	sections, err := solid.Cut(s, z, solid.CutSettings{Workers: 1})
	if err != nil {
		return
	}
	for i := range sections {
		for _, l := range sections[i].Loops {
			if len(l.Points) < 3 || math.Abs(geom.Polygon(l.Points).Area()) == 0 {
				t.Fatalf("a loop without area: %v", l.Points)
			}
		}
	}
	slabs, err := solid.Slabs(sections, b.Min.Z, z)
	if err != nil {
		return
	}
	solid.NameWalls(slabs)
	solid.Plan(slabs)
}
