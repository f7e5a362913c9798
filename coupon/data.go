package coupon

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Test is one kind of coupon test.
type Test struct {
	Name     string // in data files and on the command line
	Title    string
	Standard string
	Strength string // key of the strength on a bead card
	Modulus  string // key of the modulus there; empty: none is taken from this test
	// Width, Length and Thickness of the coupon, mm; Thickness is the least one
	// asked for. Tabs is the length held in each grip.
	Width, Length, Thickness, Tabs float64
	Angles                         []float64 // of the layers in turn, degrees from the coupon's length
	Formula                        string
	stress                         func(force, width, thickness float64) float64
}

func pull(force, width, thickness float64) float64 { return force / (width * thickness) }

// Tests lists the kinds of test with the sizes of their standards (from memory
// of the standards; hold the sheet of the print against your copy).
func Tests() []Test {
	return []Test{
		{"tension-0", "tension along the strands", "ASTM D3039/D3039M", "Xt", "E1", 15, 250, 1, 56, []float64{0}, "F / (w·t)", pull},
		{"tension-90", "tension across the strands", "ASTM D3039/D3039M", "Yt", "E2", 25, 175, 2, 25, []float64{90}, "F / (w·t)", pull},
		{"compression-0", "compression along the strands", "ASTM D6641/D6641M", "Xc", "", 13, 140, 2, 63.5, []float64{0}, "F / (w·t)", pull},
		{"compression-90", "compression across the strands", "ASTM D6641/D6641M", "Yc", "", 13, 140, 2, 63.5, []float64{90}, "F / (w·t)", pull},
		{"shear", "in-plane shear by tension at ±45°", "ASTM D3518/D3518M", "S", "G12", 25, 200, 2.5, 50, []float64{45, -45}, "F / (2·w·t), F the greatest up to 5 % shear strain",
			func(f, w, t float64) float64 { return f / (2 * w * t) }},
		{"short-beam", "short-beam strength between layers", "ASTM D2344/D2344M", "Sis", "", 0, 0, 4, 0, []float64{0}, "0.75·F / (w·t)",
			func(f, w, t float64) float64 { return 0.75 * f / (w * t) }},
	}
}

// TestNamed returns the test of a name.
func TestNamed(name string) (Test, error) {
	var names []string
	for _, t := range Tests() {
		if t.Name == name {
			return t, nil
		}
		names = append(names, t.Name)
	}
	return Test{}, fmt.Errorf("there is no test %q; the known ones are %s", name, strings.Join(names, ", "))
}

// Result is what the coupons of one test say.
type Result struct {
	Test       Test
	Allowables *Allowables
	Batches    int
	Modulus    float64 // mean of those given, MPa; 0: none
	Moduli     int     // how many were given
	Poisson    float64 // mean, 0: none
}

// DataError is a fault of a data file.
type DataError struct {
	Line         int
	What, Remedy string
}

// Error gives "line 3: what; remedy".
func (e *DataError) Error() string {
	return fmt.Sprintf("line %d: %s; %s", e.Line, e.What, e.Remedy)
}

// maxRows bounds a data file.
const maxRows = 100_000

// ReadData reads test data and evaluates each test. The form is CSV (RFC 4180)
// with a header: test, batch, and either strength_MPa, or width_mm,
// thickness_mm and force_N; modulus_MPa and poisson where measured; a column
// specimen may name the coupons. Errors: all faults of the file, or what
// Evaluate refuses.
func ReadData(r io.Reader) ([]Result, error) {
	rows, err := readRows(r)
	if err != nil {
		return nil, err
	}
	var out []Result
	var errs []error
	for _, t := range Tests() {
		s, moduli, poisson := gather(rows, t.Name)
		if len(s.Batches) == 0 {
			continue
		}
		a, err := Evaluate(s)
		if err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", t.Name, err))
			continue
		}
		out = append(out, Result{Test: t, Allowables: a, Batches: len(s.Batches), Modulus: mean(moduli), Moduli: len(moduli), Poisson: mean(poisson)})
	}
	return out, errors.Join(errs...)
}

func mean(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// row is one coupon.
type row struct {
	test, batch                string
	strength, modulus, poisson float64
}

func gather(rows []row, test string) (s Sample, moduli, poisson []float64) {
	var names []string
	for _, r := range rows {
		if r.test != test {
			continue
		}
		k := slices.Index(names, r.batch)
		if k < 0 {
			k = len(names)
			names = append(names, r.batch)
			s.Batches = append(s.Batches, nil)
		}
		s.Batches[k] = append(s.Batches[k], r.strength)
		if r.modulus > 0 {
			moduli = append(moduli, r.modulus)
		}
		if r.poisson > 0 {
			poisson = append(poisson, r.poisson)
		}
	}
	return s, moduli, poisson
}

func readRows(r io.Reader) ([]row, error) {
	c := csv.NewReader(r)
	c.TrimLeadingSpace, c.ReuseRecord, c.Comment = true, false, '#'
	head, err := c.Read()
	if err != nil {
		return nil, csvFault(err, "the file is empty or no CSV")
	}
	at, err := columnsOf(head)
	if err != nil {
		return nil, err
	}
	var rows []row
	var errs []error
	for {
		rec, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, csvFault(err, "the row cannot be read")
		}
		line, _ := c.FieldPos(0)
		if len(rows) == maxRows {
			return nil, &DataError{line, fmt.Sprintf("more than %d coupons", maxRows), "divide the file by test"}
		}
		x, err := rowOf(rec, at, line)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		rows = append(rows, x)
	}
	if len(rows) == 0 && len(errs) == 0 {
		errs = append(errs, &DataError{1, "there is no coupon", "add a row for each"})
	}
	return rows, errors.Join(errs...)
}

func csvFault(err error, what string) error {
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		return &DataError{bad.Line, what + " (" + bad.Err.Error() + ")", "write comma-separated values with a header"}
	}
	return &DataError{1, what, "write comma-separated values with a header"}
}

func columnsOf(head []string) (map[string]int, error) {
	known := []string{"test", "batch", "specimen", "width_mm", "thickness_mm", "force_N", "strength_MPa", "modulus_MPa", "poisson"}
	at := map[string]int{}
	for i, name := range head {
		name = strings.TrimSpace(strings.TrimPrefix(name, "\ufeff"))
		if !slices.Contains(known, name) {
			return nil, &DataError{1, fmt.Sprintf("unknown column %q", name), "the known ones are " + strings.Join(known, ", ")}
		}
		if _, twice := at[name]; twice {
			return nil, &DataError{1, fmt.Sprintf("column %q is there twice", name), "delete one"}
		}
		at[name] = i
	}
	for _, name := range []string{"test", "batch"} {
		if _, ok := at[name]; !ok {
			return nil, &DataError{1, fmt.Sprintf("column %q is missing", name), "add it"}
		}
	}
	_, direct := at["strength_MPa"]
	for _, name := range []string{"width_mm", "thickness_mm", "force_N"} {
		if _, ok := at[name]; !ok && !direct {
			return nil, &DataError{1, fmt.Sprintf("column %q is missing", name), "add it, or give strength_MPa"}
		}
	}
	return at, nil
}

// rowOf reads one coupon.
func rowOf(rec []string, at map[string]int, line int) (row, error) {
	var bad error
	number := func(name string) float64 {
		i, ok := at[name]
		if !ok || strings.TrimSpace(rec[i]) == "" {
			return 0
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(rec[i]), 64)
		if (err != nil || !(v > 0) || math.IsInf(v, 1)) && bad == nil {
			bad = &DataError{line, fmt.Sprintf("%s is %q", name, rec[i]), "write a number above 0 with a decimal point, in the unit of the column"}
		}
		return v
	}
	out := row{test: strings.TrimSpace(rec[at["test"]]), batch: strings.TrimSpace(rec[at["batch"]]), strength: number("strength_MPa"), modulus: number("modulus_MPa"), poisson: number("poisson")}
	width, thickness, force := number("width_mm"), number("thickness_mm"), number("force_N")
	t, err := TestNamed(out.test)
	switch {
	case bad != nil:
		return out, bad
	case err != nil:
		return out, &DataError{line, err.Error(), "name one of them in the column test"}
	case out.strength == 0 && (width == 0 || thickness == 0 || force == 0):
		return out, &DataError{line, "neither strength_MPa nor width, thickness and force are given", "fill in what was measured"}
	case out.strength == 0:
		out.strength = t.stress(force, width, thickness)
	}
	return out, nil
}
