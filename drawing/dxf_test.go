package drawing

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"

	"bytes"
	"io"
	"sinew/geom"
	"testing"
)

// checkRead reads anything and checks what comes out.
func checkRead(t *testing.T, data []byte, read func(io.Reader, Settings) (*Drawing, error)) {
	d, err := read(bytes.NewReader(data), Settings{})
	if err != nil {
		if d, err = read(bytes.NewReader(data), Settings{Units: "mm"}); err != nil {
			return
		}
	}
	if len(d.Pieces) == 0 {
		t.Fatal("no pieces and no error")
	}
	regions, err := d.Regions(JoinSettings{Tolerance: 0.01})
	if err != nil {
		return
	}
	for _, r := range regions {
		for _, l := range r.Loops() {
			for i, e := range l {
				if e.B != l[(i+1)%len(l)].A {
					t.Fatalf("edge %d does not meet the next: %v, %v", i, e, l[(i+1)%len(l)])
				}
			}
		}
	}
}

// dxf builds a file from entities written as "code value" pairs by blanks:
// "0 LINE 8 A 10 0 …".
func dxf(units string, blocks, entities string) string {
	var b strings.Builder
	put := func(pairs string) {
		f := strings.Fields(pairs)
		for i := 0; i+1 < len(f); i += 2 {
			b.WriteString(f[i] + "\n" + f[i+1] + "\n")
		}
	}
	put("0 SECTION 2 HEADER 9 $ACADVER 1 AC1015")
	if units != "" {
		put("9 $INSUNITS 70 " + units)
	}
	put("0 ENDSEC 0 SECTION 2 BLOCKS " + blocks + " 0 ENDSEC 0 SECTION 2 ENTITIES " + entities + " 0 ENDSEC 0 EOF")
	return b.String()
}

const square = " 0 LWPOLYLINE 8 0 90 4 70 1 10 0 20 0 10 10 20 0 10 10 20 10 10 0 20 10"

// box is the square as a block named B with its base at (0, 0).
const box = "0 BLOCK 2 B 10 0 20 0" + square + " 0 ENDBLK"

// Areas and boxes follow from the formulas of the shapes.
func TestDXFEntities(t *testing.T) {
	const circle = "0 CIRCLE 10 3 20 4 40 2"
	for name, c := range map[string]struct {
		units, blocks, entities string
		area                    float64
		box                     geom.Box
		loose                   bool // fitted: within the tolerance only
	}{
		"circle":            {"4", "", circle, 4 * math.Pi, geom.Box{Min: geom.Point{X: 1, Y: 2}, Max: geom.Point{X: 5, Y: 6}}, false},
		"circle in cm":      {"5", "", circle, 400 * math.Pi, geom.Box{Min: geom.Point{X: 10, Y: 20}, Max: geom.Point{X: 50, Y: 60}}, false},
		"circle in inches":  {"1", "", circle, 4 * math.Pi * 25.4 * 25.4, geom.Box{Min: geom.Point{X: 25.4, Y: 50.8}, Max: geom.Point{X: 127, Y: 152.4}}, false},
		"circle from below": {"4", "", circle + " 210 0 220 0 230 -1", 4 * math.Pi, geom.Box{Min: geom.Point{X: -5, Y: 2}, Max: geom.Point{X: -1, Y: 6}}, false},
		"half disc":         {"4", "", "0 ARC 10 0 20 0 40 1 50 0 51 180 0 LINE 10 -1 20 0 11 1 21 0", math.Pi / 2, geom.Box{Min: geom.Point{X: -1}, Max: geom.Point{X: 1, Y: 1}}, false},
		"arc over zero":     {"4", "", "0 ARC 10 0 20 0 40 1 50 270 51 90 0 LINE 10 0 20 1 11 0 21 -1", math.Pi / 2, geom.Box{Min: geom.Point{Y: -1}, Max: geom.Point{X: 1, Y: 1}}, false},
		"polyline":          {"4", "", square, 100, geom.Box{Max: geom.Point{X: 10, Y: 10}}, false},
		"bulge":             {"4", "", "0 LWPOLYLINE 70 1 10 0 20 0 42 1 10 2 20 0", math.Pi / 2, geom.Box{Min: geom.Point{Y: -1}, Max: geom.Point{X: 2}}, false},
		"bulge from below":  {"4", "", "0 LWPOLYLINE 70 1 230 -1 10 0 20 0 42 1 10 2 20 0", math.Pi / 2, geom.Box{Min: geom.Point{X: -2, Y: -1}}, false},
		"old polyline":      {"4", "", "0 POLYLINE 70 1 0 VERTEX 10 0 20 0 42 1 0 VERTEX 10 2 20 0 0 SEQEND", math.Pi / 2, geom.Box{Min: geom.Point{Y: -1}, Max: geom.Point{X: 2}}, false},
		"ellipse":           {"4", "", "0 ELLIPSE 10 1 20 0 11 0 21 4 40 0.5 41 0 42 6.283185307179586", 8 * math.Pi, geom.Box{Min: geom.Point{X: -1, Y: -4}, Max: geom.Point{X: 3, Y: 4}}, true},
		"half ellipse":      {"4", "", "0 ELLIPSE 10 0 20 0 11 4 21 0 40 0.5 41 0 42 3.141592653589793 0 LINE 10 4 20 0 11 -4 21 0", 4 * math.Pi, geom.Box{Min: geom.Point{X: -4}, Max: geom.Point{X: 4, Y: 2}}, true},
		"half from below":   {"4", "", "0 ELLIPSE 10 0 20 0 11 4 21 0 40 0.5 41 0 42 3.141592653589793 230 -1 0 LINE 10 4 20 0 11 -4 21 0", 4 * math.Pi, geom.Box{Min: geom.Point{X: -4, Y: -2}, Max: geom.Point{X: 4}}, true},
		"round ellipse":     {"4", "", "0 ELLIPSE 10 0 20 0 11 4 21 0 40 1 41 0 42 6.283185307179586", 16 * math.Pi, geom.Box{Min: geom.Point{X: -4, Y: -4}, Max: geom.Point{X: 4, Y: 4}}, false},
		// The quarter circle as a rational quadratic, weight cos 45°.
		"quarter disc":      {"4", "", "0 SPLINE 70 4 71 2 72 6 73 3 40 0 40 0 40 0 40 1 40 1 40 1 41 1 41 0.7071067811865476 41 1 10 1 20 0 10 1 20 1 10 0 20 1 0 LINE 10 0 20 1 11 0 21 0 0 LINE 10 0 20 0 11 1 21 0", math.Pi / 4, geom.Box{Max: geom.Point{X: 1, Y: 1}}, true},
		"cubic":             {"4", "", "0 SPLINE 71 3 72 8 73 4 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 0 20 0 10 0 20 8 10 10 20 8 10 10 20 0 0 LINE 10 0 20 0 11 10 21 0", 48, geom.Box{Max: geom.Point{X: 10, Y: 6}}, true},
		"straight spline":   {"4", "", "0 SPLINE 71 1 72 6 73 4 40 0 40 0 40 1 40 2 40 3 40 3 10 0 20 0 10 10 20 0 10 10 20 10 10 0 20 0", 50, geom.Box{Max: geom.Point{X: 10, Y: 10}}, false},
		"block":             {"4", box, "0 INSERT 2 B 10 5 20 6", 100, geom.Box{Min: geom.Point{X: 5, Y: 6}, Max: geom.Point{X: 15, Y: 16}}, false},
		"block, turned":     {"4", box, "0 INSERT 2 b 50 90", 100, geom.Box{Min: geom.Point{X: -10}, Max: geom.Point{Y: 10}}, false},
		"block, mirrored":   {"4", "0 BLOCK 2 B 10 1 20 0 0 LWPOLYLINE 70 1 10 1 20 0 42 1 10 3 20 0 0 ENDBLK", "0 INSERT 2 B 41 -2 42 2", 2 * math.Pi, geom.Box{Min: geom.Point{X: -4, Y: -2}}, false},
		"block, squeezed":   {"4", "0 BLOCK 2 B 0 CIRCLE 40 1 0 ENDBLK", "0 INSERT 2 B 41 4 42 2", 8 * math.Pi, geom.Box{Min: geom.Point{X: -4, Y: -2}, Max: geom.Point{X: 4, Y: 2}}, true},
		"block in a block":  {"4", box + " 0 BLOCK 2 C 10 0 20 0 0 INSERT 2 B 10 1 20 0 41 2 42 2 0 ENDBLK", "0 INSERT 2 C 50 180", 400, geom.Box{Min: geom.Point{X: -21, Y: -20}, Max: geom.Point{X: -1}}, false},
		"drawn twice":       {"4", "", square + square, 100, geom.Box{Max: geom.Point{X: 10, Y: 10}}, false},
		"gaps":              {"4", "", "0 LINE 10 0 20 0 11 10 21 0 0 LINE 10 10.004 20 0.003 11 0 21 10 0 LINE 10 0 20 10.005 11 0 21 0", 50, geom.Box{Max: geom.Point{X: 10, Y: 10}}, true},
		"layer 0 of blocks": {"4", box, "0 INSERT 8 OTHER 2 B", 100, geom.Box{Max: geom.Point{X: 10, Y: 10}}, false},
		"paper ignored":     {"4", "", square + " 0 CIRCLE 67 1 40 99", 100, geom.Box{Max: geom.Point{X: 10, Y: 10}}, false},
		"text ignored":      {"4", "", square + " 0 TEXT 1 hello 0 HATCH 2 SOLID", 100, geom.Box{Max: geom.Point{X: 10, Y: 10}}, false},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := regionsOf(dxf(c.units, c.blocks, c.entities), Settings{})
			if err != nil || len(r) != 1 {
				t.Fatalf("%d regions, %v", len(r), err)
			}
			tol := 1e-12
			if c.loose {
				tol = defaultTolerance
			}
			if got := r[0].Area(); math.Abs(got-c.area) > tol*(r[0].Outer.Length()+c.area) {
				t.Errorf("area %v, want %v", got, c.area)
			}
			got := r[0].Bounds()
			if got.Min.Dist(c.box.Min) > 2*tol+1e-9 || got.Max.Dist(c.box.Max) > 2*tol+1e-9 {
				t.Errorf("box %v, want %v", got, c.box)
			}
		})
	}
}

func regionsOf(text string, s Settings) ([]geom.Region, error) {
	d, err := ReadDXF(strings.NewReader(text), s)
	if err != nil {
		return nil, err
	}
	return d.Regions(JoinSettings{Tolerance: 0.01})
}

func TestDXFRows(t *testing.T) {
	r, err := regionsOf(dxf("4", box, "0 INSERT 2 B 70 3 71 2 44 20 45 30"), Settings{})
	if err != nil || len(r) != 6 {
		t.Fatalf("%d regions, %v", len(r), err)
	}
	if got := r[5].Bounds().Min; got != (geom.Point{X: 40, Y: 30}) {
		t.Errorf("last copy at %v", got)
	}
}

func TestNesting(t *testing.T) {
	// A plate with two holes, an island in the larger with a hole of its own,
	// and a second plate.
	r, err := regionsOf(dxf("4", "", "0 CIRCLE 10 0 20 0 40 50 0 CIRCLE 10 40 20 0 40 3 0 CIRCLE 10 0 20 0 40 20 0 CIRCLE 10 0 20 0 40 10 0 CIRCLE 10 0 20 0 40 5 0 CIRCLE 10 100 20 0 40 5"), Settings{})
	if err != nil || len(r) != 3 {
		t.Fatalf("%d regions, %v", len(r), err)
	}
	for i, want := range []float64{2500 - 9 - 400, 100 - 25, 25} {
		if got := r[i].Area() / math.Pi; math.Abs(got-want) > 1e-9 {
			t.Errorf("region %d: area %v π, want %v π", i, got, want)
		}
	}
	if h := r[0].Holes; len(h) != 2 || h[0].Bounds().Middle().X != 0 || h[0].Area() > 0 {
		t.Errorf("holes %v", h)
	}
}

func TestDXFRefuses(t *testing.T) {
	deep := "0 BLOCK 2 B0" + square + " 0 ENDBLK"
	for i := range 40 {
		deep += fmt.Sprintf(" 0 BLOCK 2 B%d 0 INSERT 2 B%d 0 ENDBLK", i+1, i)
	}
	wide := "0 BLOCK 2 B0 0 ENDBLK"
	for i := range 12 {
		wide += fmt.Sprintf(" 0 BLOCK 2 B%d 0 INSERT 2 B%d 70 100 71 100 0 ENDBLK", i+1, i)
	}
	for name, c := range map[string]struct{ text, want string }{
		"rubbish":           {"\x00\x01\x02\x03\xff", "this is not a DXF file"},
		"empty":             {"", "ends without its EOF mark"},
		"words":             {"hello\nworld\n", "this is not a DXF file"},
		"binary rubbish":    {binaryMark + "\x00\x00\x07\x07\x07", "this is not a DXF file"},
		"binary, cut":       {binaryMark + "\x00SECTION\x00\x02", "is cut off"},
		"truncated":         {strings.TrimSuffix(dxf("4", "", square), "0\nEOF\n"), "line 50: the file ends without its EOF mark"},
		"cut in a group":    {"0\nSECTION\n2", "line 3: the file ends after a group code"},
		"no code":           {"0\nSECTION\n2\nENTITIES\nx\ny\n", `line 5: "x" stands where a group code is wanted`},
		"no unit":           {dxf("", "", square), "states no unit"},
		"unit zero":         {dxf("0", "", square), "states no unit"},
		"light years":       {dxf("19", "", square), "not one for parts"},
		"nothing":           {dxf("4", "", ""), "no lines, arcs or curves"},
		"only text":         {dxf("4", "", "0 TEXT 1 a"), "(1 × TEXT ignored (first at line"},
		"open outline":      {dxf("4", "", "0 LINE 10 0 20 0 11 10 21 0 0 LINE 10 10 20 0 11 5 21 5"), "the outline is open at (0, 0) of the LINE at line 25 (next loose end 7.07 mm away)"},
		"open polyline":     {dxf("4", "", "0 LWPOLYLINE 10 0 20 0 10 1 20 0 10 1 20 1"), "open at"},
		"branch":            {dxf("4", "", square+" 0 LINE 10 0 20 0 11 -5 21 -5"), "branches at (0, 0)"},
		"self-crossing":     {dxf("4", "", "0 LWPOLYLINE 70 1 10 0 20 0 10 10 20 10 10 10 20 0 10 0 20 12"), "crosses"},
		"hole at the edge":  {dxf("4", "", square+" 0 CIRCLE 10 2 20 5 40 2"), "touch"},
		"hole over edge":    {dxf("4", "", square+" 0 CIRCLE 10 1 20 5 40 2"), "cannot be used"},
		"radius zero":       {dxf("4", "", "0 CIRCLE 40 0"), "line 25: CIRCLE: its radius is 0"},
		"no radius":         {dxf("4", "", "0 ARC 50 0"), "radius is NaN"},
		"NaN":               {dxf("4", "", "0 LINE 10 NaN 20 0 11 1 21 1"), "is no number"},
		"no number":         {dxf("4", "", "0 LINE 10 ten 20 0 11 1 21 1"), "is no number"},
		"overflow":          {dxf("4", "", "0 LINE 10 1e999 20 0 11 1 21 1"), "is no number"},
		"huge":              {dxf("4", "", "0 LINE 10 1e99 20 0 11 1 21 1"), "a coordinate of 1e+99 mm"},
		"flat ellipse":      {dxf("4", "", "0 ELLIPSE 11 1 21 0 40 0"), "no length"},
		"10⁹ points":        {dxf("4", "", "0 SPLINE 71 3 72 1000000004 73 1000000000"), "announces 1.000000004e+09 points"},
		"few knots":         {dxf("4", "", "0 SPLINE 71 3 40 0 40 1 10 0 10 1 10 2 10 3"), "2 knots where"},
		"few points":        {dxf("4", "", "0 SPLINE 71 3 40 0 40 1 10 0"), "too few for degree 3"},
		"falling knots":     {dxf("4", "", "0 SPLINE 71 1 40 0 40 2 40 1 40 3 10 0 10 1"), "knots do not rise"},
		"degree 99":         {dxf("4", "", "0 SPLINE 71 99 10 0"), "degree is 99"},
		"weight zero":       {dxf("4", "", "0 SPLINE 71 1 40 0 40 0 40 1 40 1 10 0 10 1 41 0 41 1"), "a weight is 0"},
		"one vertex":        {dxf("4", "", "0 LWPOLYLINE 10 0 20 0"), "1 vertices"},
		"no vertices":       {dxf("4", "", "0 POLYLINE 70 1 0 SEQEND"), "no vertices"},
		"tilted":            {dxf("4", "", "0 CIRCLE 40 1 210 1 220 0 230 0"), "plane of its own, normal (1, 0, 0)"},
		"no such block":     {dxf("4", "", "0 INSERT 2 X"), `no block "X"`},
		"block in itself":   {dxf("4", "0 BLOCK 2 B 0 INSERT 2 B 0 ENDBLK", "0 INSERT 2 B"), "contains itself: B → B"},
		"blocks in a ring":  {dxf("4", "0 BLOCK 2 B 0 INSERT 2 C 0 ENDBLK 0 BLOCK 2 C 0 INSERT 2 B 0 ENDBLK", "0 INSERT 2 B"), "contains itself: B → C → B"},
		"blocks 40 deep":    {dxf("4", deep, "0 INSERT 2 B40"), "more than 32 deep"},
		"blocks that swell": {dxf("4", wide, "0 INSERT 2 B12"), "draw more than"},
		"many copies":       {dxf("4", box, "0 INSERT 2 B 70 30000 71 30000"), "30000 × 30000 copies"},
		"scale zero":        {dxf("4", box, "0 INSERT 2 B 41 0"), "scale is 0 × 1"},
	} {
		r, err := regionsOf(c.text, Settings{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %d regions, %v; want %q", name, len(r), err, c.want)
		}
	}
	if _, err := ReadDXF(strings.NewReader(dxf("4", "", square)), Settings{Units: "in"}); err == nil || !strings.Contains(err.Error(), "states mm, the job in") {
		t.Error(err)
	}
	if _, err := ReadDXF(strings.NewReader(dxf("", "", square)), Settings{Units: "furlong"}); err == nil || !strings.Contains(err.Error(), `"furlong" is unknown`) {
		t.Error(err)
	}
}

// Order and direction of the pieces do not matter, nor where the drawing lies.
func TestPiecesInAnyOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		n := 3 + rng.IntN(40)
		pieces := make([]Piece, n)
		var corners []geom.Point
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			r := 10 + 5*rng.Float64()
			corners = append(corners, geom.Point{X: 100 + r*c, Y: r * s})
		}
		for i := range n {
			e := geom.Edge{A: corners[i], B: corners[(i+1)%n], Bulge: 0.02 * rng.Float64()}
			if rng.IntN(2) == 0 {
				e = e.Reverse()
			}
			pieces[i] = Piece{Edge: e}
		}
		want := 0.0
		for shuffle := range 3 {
			rng.Shuffle(n, func(i, k int) { pieces[i], pieces[k] = pieces[k], pieces[i] })
			r, err := (&Drawing{Pieces: pieces}).Regions(JoinSettings{})
			if err != nil || len(r) != 1 {
				t.Fatal(len(r), err)
			}
			if shuffle == 0 {
				want = r[0].Area()
			}
			if got := r[0].Area(); math.Abs(got-want) > 1e-9 || len(r[0].Outer) != n {
				t.Fatalf("area %v, %d edges; want %v, %d", got, len(r[0].Outer), want, n)
			}
		}
	}
}

// Files written by other programs: each is read, or refused with a reason.
func TestDXFFiles(t *testing.T) {
	for name, c := range map[string]struct {
		pieces int
		units  string // stated by the caller
		join   string // part of the error of joining; empty: regions
		count  int    // of regions
		read   string // part of the error of reading
	}{
		"1_polylines.dxf":               {pieces: 80, join: "the outline is open at"},
		"6_closed_loop_with_arcs.dxf":   {pieces: 11, join: "touches itself"},
		"ASCII_R12.dxf":                 {pieces: 2, units: "mm", join: "the outline is open at (10.51, 15) of the LINE at line 1151"},
		"MODEL.dxf":                     {read: "no lines, arcs or curves"},
		"R12_with_trash_beyond_EOF.dxf": {pieces: 2, units: "mm", count: 1},
		"bin_dxf_r12.dxf":               {pieces: 3, units: "mm", join: "open at"},
		"bin_dxf_r2000.dxf":             {read: "1 × TEXT ignored (first at byte 8138)"},
		"cc_dxflib.dxf":                 {pieces: 4, units: "mm", count: 1},
		"circle_radius_le_0.dxf":        {read: "CIRCLE: its radius is"},
		"clockwise_arcs_hatch.dxf":      {read: "1 × HATCH ignored"},
		"duplicate_handles.dxf":         {pieces: 143, units: "mm", join: "open at"},
		"forms.dxf":                     {pieces: 304, count: 23},
	} {
		data, err := os.ReadFile("testdata/dxf/" + name)
		if err != nil {
			t.Fatal(err)
		}
		d, err := ReadDXF(bytes.NewReader(data), Settings{Units: c.units})
		if err != nil {
			if c.read == "" || !strings.Contains(err.Error(), c.read) {
				t.Errorf("%s: %v; want %q", name, err, c.read)
			}
			continue
		}
		if c.read != "" || len(d.Pieces) != c.pieces {
			t.Errorf("%s: %d pieces, want %d and error %q", name, len(d.Pieces), c.pieces, c.read)
		}
		r, err := d.Regions(JoinSettings{Tolerance: 0.01})
		if len(r) != c.count || (err == nil) != (c.join == "") || err != nil && !strings.Contains(err.Error(), c.join) {
			t.Errorf("%s: %d regions, %v; want %d, %q", name, len(r), err, c.count, c.join)
		}
	}
}

// A cut at any byte of a file is an error or still a drawing, never a panic.
func TestDXFCutAnywhere(t *testing.T) {
	for _, name := range []string{"bin_dxf_r12.dxf", "cc_dxflib.dxf"} {
		data, err := os.ReadFile("testdata/dxf/" + name)
		if err != nil {
			t.Fatal(err)
		}
		for n := range data[:len(data)-16] {
			if _, err := ReadDXF(bytes.NewReader(data[:n]), Settings{Units: "mm"}); err == nil {
				t.Fatalf("%s: cut at byte %d and read", name, n)
			}
		}
	}
}

func FuzzReadDXF(f *testing.F) {
	f.Add([]byte(dxf("4", box, "0 INSERT 2 B 41 2 50 30"+square)))
	f.Add([]byte(dxf("4", "", "0 ELLIPSE 11 1 21 0 40 0.3 0 SPLINE 71 1 40 0 40 0 40 1 40 1 10 0 10 1 41 1 41 1")))
	f.Add([]byte(dxf("4", "", "0 POLYLINE 70 1 0 VERTEX 10 0 20 0 42 1 0 VERTEX 10 2 20 0 0 SEQEND 0 SPLINE 11 0 21 0 11 5 21 5 11 9 21 0")))
	f.Add([]byte(binaryMark + "\x00SECTION\x00\x02ENTITIES\x00\x00LINE\x00\x0a\x00\x00\x00\x00\x00\x00\x00\x00\x00EOF\x00"))
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, data, ReadDXF) })
}
