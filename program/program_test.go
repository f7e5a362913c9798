package program

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/printer"
	"sinew/strand"
)

// Thirty varied prints, both process kinds: the text alone gives back the plan.
func TestReadBackAgrees(t *testing.T) {
	for _, id := range []string{"twin-nozzle", "ironing-nozzle"} {
		c := builtIn(t, id)
		for seed := range int64(15) {
			pr, s := samplePrint(c, seed), settings()
			text, sum := written(t, pr, c, s)
			rb, err := Read(bytes.NewReader(text), c)
			if err != nil {
				t.Fatalf("%s %d: %v", id, seed, err)
			}
			for _, f := range rb.Findings {
				t.Errorf("%s %d: %v", id, seed, f)
			}
			cmp := Compare(pr, rb, c, s)
			for _, d := range cmp.Differences {
				t.Errorf("%s %d: %s", id, seed, d)
			}
			if cmp.WorstLength > 0.01 || cmp.VolumeDifference > 0.001 || cmp.Cuts != sum.Cuts || rb.Strands != sum.Strands || rb.Swaps != sum.Swaps {
				t.Errorf("%s %d: %+v against %+v", id, seed, cmp, sum)
			}
			if d := math.Abs(rb.Time + c.HeatTime - sum.Time); d > 0.02*sum.Time {
				t.Errorf("%s %d: %v s read, %v s written", id, seed, rb.Time+c.HeatTime, sum.Time)
			}
			if t.Failed() {
				t.Fatalf("%s", text[:min(len(text), 2000)])
			}
		}
	}
}

func TestWriteIsDeterministic(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	a, _ := written(t, samplePrint(c, 3), c, settings())
	b, _ := written(t, samplePrint(c, 3), c, settings())
	if !bytes.Equal(a, b) {
		t.Error("two programs of one print differ")
	}
}

// Independent sums: lengths and volumes of one straight strand and one wall.
func TestSummary(t *testing.T) {
	c, s := builtIn(t, "twin-nozzle"), settings()
	st := line(geom.Point{X: 10, Y: 10}, geom.Point{X: 110, Y: 10}, 0.7)
	for i := range st.Width {
		st.Width[i] = 0.7
	}
	pr := &strand.Print{Region: shapes.Plate(120, 20), Layers: []strand.Layer{{Kind: strand.Composite, Height: 0.32, Z: 0.32, Strands: []strand.Strand{st},
		Beads: []strand.Bead{{Width: 0.6, Points: []geom.Point{{X: 1, Y: 1}, {X: 51, Y: 1}}}}}}}
	text, sum := written(t, pr, c, s)
	near := func(name string, got, want, tol float64) {
		if math.Abs(got-want) > tol {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	near("tow", sum.Tow, 100, 1e-9)
	near("plastic in the strand", sum.Plastic[printer.CompositeTool], 100*(0.7*0.32-0.103), 1e-9)
	near("plastic in the wall", sum.Plastic[printer.PlasticTool], 50*0.6*0.32, 1e-9)
	near("anchor", sum.Times[Anchoring], 8/2.5, 0.05)
	near("restart", sum.Times[Restarting], 46.0/12, 1e-9)
	near("tow off the spool", sum.TowUsed, 100+46-45, 1e-9)
	near("cost", sum.Cost, 0.101*1.2+(12.1+9.6)*1.14e-6*45+sum.Time/3600*9+sum.Time*450/3.6e6*0.3, 1e-9)
	total := 0.0
	for _, x := range sum.Times {
		total += x
	}
	near("times add up", total, sum.Time, 1e-9)
	if sum.Bytes != int64(len(text)) || sum.Swaps != 1 || sum.Cuts != 1 {
		t.Errorf("summary %+v of %d bytes", sum, len(text))
	}
}

func TestWriteRefuses(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	short := &strand.Print{Region: shapes.Plate(50, 50), Layers: []strand.Layer{{Kind: strand.Composite, Height: 0.32, Z: 0.32,
		Strands: []strand.Strand{line(geom.Point{}, geom.Point{X: 44}, 0.7)}}}}
	hot, bed, noTow := settings(), settings(), settings()
	hot.PlasticTemperature, bed.BedTemperature, noTow.TowArea = 340, 200, 0
	bare := *c
	bare.HasPlastic = false
	for _, row := range []struct {
		name string
		pr   *strand.Print
		c    *printer.Card
		s    Settings
		want string
	}{
		{"short strand", short, c, settings(), "44.00 mm long"},
		{"too hot", samplePrint(c, 1), c, hot, "340 °C"},
		{"bed too hot", samplePrint(c, 1), c, bed, "200 °C"},
		{"no tow", samplePrint(c, 1), c, noTow, "tow's section"},
		{"no plastic nozzle", samplePrint(c, 1), &bare, settings(), "no nozzle for it"},
	} {
		var b bytes.Buffer
		_, err := Write(&b, row.pr, row.c, row.s)
		if err == nil || !strings.Contains(err.Error(), row.want) || b.Len() > 0 {
			t.Errorf("%s: error %v, %d bytes written", row.name, err, b.Len())
		}
	}
}

// A full disk is reported.
func TestWriteFails(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	if _, err := Write(&full{3000}, samplePrint(c, 1), c, settings()); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Errorf("error %v", err)
	}
}

type full struct{ left int }

func (f *full) Write(p []byte) (int, error) {
	if f.left -= len(p); f.left < 0 {
		return 0, fmt.Errorf("disk full")
	}
	return len(p), nil
}

// A program of the pre-impregnated kind never feeds plastic with its tow.
func TestPreImpregnated(t *testing.T) {
	c := builtIn(t, "ironing-nozzle")
	text, sum := written(t, samplePrint(c, 2), c, settings())
	rb, err := Read(bytes.NewReader(text), c)
	if err != nil {
		t.Fatal(err)
	}
	if rb.Plastic[printer.CompositeTool] != 0 || sum.Plastic[printer.CompositeTool] != 0 || rb.Tow == 0 {
		t.Errorf("plastic %v, %v; tow %v", rb.Plastic, sum.Plastic, rb.Tow)
	}
}

// Quarter and full circles against their lengths.
func TestArcs(t *testing.T) {
	c := builtIn(t, "ironing-nozzle")
	for _, row := range []struct {
		name, block string
		want        float64
	}{
		{"quarter left", "G3 X0 Y20 I-20 J0 U0.4 F600", 10 * math.Pi},
		{"three quarters right", "G2 X0 Y20 I-20 J0 U0.4 F600", 30 * math.Pi},
		{"whole circle", "G3 X20 Y0 I-20 J0 U0.4 F600", 40 * math.Pi},
	} {
		text := "G90\nG71 G94\nM40\nM44 H0 R260\nT0\nG0 X20 Y0 Z0.125 F900\n" + row.block + "\nM48\nM2\n"
		rb, err := Read(strings.NewReader(text), c)
		if err != nil {
			t.Fatal(err)
		}
		if len(rb.AllBeads) != 1 || math.Abs(rb.AllBeads[0].Length-row.want) > 1e-3*row.want {
			t.Errorf("%s: beads %v, want length %v", row.name, rb.AllBeads, row.want)
		}
	}
	if _, err := Read(strings.NewReader("G71\nG90 G94\nG2 X1 I1\n"), builtIn(t, "twin-nozzle")); err == nil {
		t.Error("an arc was accepted by a card without arcs")
	}
}

func TestReadRefuses(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	for _, row := range []struct {
		name, text   string
		line, column int
	}{
		{"unknown word", "G71\nG90 G94\nM777\n", 3, 1},
		{"known words in wrong order", "G71\nG94 G90\n", 2, 1},
		{"letter without number", "G71\nG1 X Y2\n", 2, 4},
		{"small letter", "G71\ng1 x2\n", 2, 1},
		{"word that no move has", "G71\nG1 X1 Q2\n", 2, 7},
		{"open comment", "G71\n(forever\n", 2, 1},
		{"unreadable number", "G1 X12345678901234567890\n", 1, 4},
		{"two points", "G1 X1.2.3\n", 1, 8},
		{"long line", strings.Repeat("G1", 50_000), 1, 1},
		{"binary", "\x7fELF\x00\x01", 1, 1},
		{"many words", strings.Repeat("X1", 100) + "\n", 1, 129},
	} {
		_, err := Read(strings.NewReader(row.text), c)
		se, ok := err.(*SyntaxError)
		if !ok || se.Line != row.line || se.Column != row.column {
			t.Errorf("%s: %v, want line %d, column %d", row.name, err, row.line, row.column)
		}
	}
}

func Example() {
	fmt.Println(Finding{ID: "no-cut", Severity: Stop, Line: 12, What: "the strand of line 3 ends and was not cut", Remedy: "cut it"})
	// Output: line 12: stop: the strand of line 3 ends and was not cut; cut it
}
