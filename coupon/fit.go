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

	"sinew/printer"
	"sinew/unit"
)

// Change is a new value for a card.
type Change struct {
	Kind, Key string // "printer" or "plastic", and the card's key
	Is        string // with its unit
	Was       string
	Source    string
	Note      string // what else to do, or how sure it is; may be empty
}

// ReadReadings reads what was measured on a calibration print: CSV with the
// columns name and value, the names as on its page.
func ReadReadings(r io.Reader, of *Calibration) (map[string]float64, error) {
	c := csv.NewReader(r)
	c.TrimLeadingSpace, c.Comment = true, '#'
	rows, err := c.ReadAll()
	if err != nil {
		return nil, csvFault(err, "the file cannot be read")
	}
	out := map[string]float64{}
	var errs []error
	for i, rec := range rows {
		if i == 0 && rec[0] == "name" {
			continue
		}
		name := strings.TrimSpace(rec[0])
		line := i + 1
		switch {
		case len(rec) < 2:
			errs = append(errs, &DataError{line, "has no value", "write name,value"})
		case !slices.ContainsFunc(of.Readings, func(r Reading) bool { return r.Name == name }):
			errs = append(errs, &DataError{line, fmt.Sprintf("%q is no reading of the print %q", name, of.Name), "take the names from its page"})
		case strings.TrimSpace(rec[1]) == "": // not measured
		default:
			v, err := strconv.ParseFloat(strings.TrimSpace(rec[1]), 64)
			if err != nil || math.Abs(v) > 1e6 || math.IsNaN(v) {
				errs = append(errs, &DataError{line, fmt.Sprintf("%q is no number", rec[1]), "write it with a decimal point"})
				continue
			}
			out[name] = v
		}
	}
	return out, errors.Join(errs...)
}

// Fit gives the card values that the readings of a calibration print ask for.
// Errors: too few readings, or readings that no machine shows.
func (k *Calibration) Fit(c *printer.Card, got map[string]float64) ([]Change, error) {
	switch k.Name {
	case "bed":
		return k.fitBed(c, got)
	case "nozzles":
		return fitNozzles(c, got)
	case "cutter":
		return k.fitCutter(c, got)
	case "flow":
		return k.fitFlow(c, got)
	case "temperature":
		return k.fitTemperature(got)
	}
	return k.fitSpeed(c, got)
}

// difference returns the mean of reading less nominal over the readings whose
// name starts so, its standard deviation, and how many there are.
func (k *Calibration) difference(got map[string]float64, prefix string) (mean, sd float64, n int) {
	var d []float64
	for _, r := range k.Readings {
		if v, ok := got[r.Name]; ok && strings.HasPrefix(r.Name, prefix) {
			d = append(d, v-r.Nominal)
		}
	}
	if len(d) == 0 {
		return 0, 0, 0
	}
	if len(d) == 1 {
		return d[0], 0, 1
	}
	mean, sd = moments(d)
	return mean, sd, len(d)
}

func mm(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64) + " mm"
}

func measured(what string, n int, sd float64) string {
	return fmt.Sprintf("measured: %s, %d readings, standard deviation %.2g mm", what, n, sd)
}

// mostOff, mm, is how far a machine may be off for a print to be read at all.
const mostOff = 20.0

func (k *Calibration) fitBed(c *printer.Card, got map[string]float64) ([]Change, error) {
	dx, sx, nx := k.difference(got, "x")
	dy, sy, ny := k.difference(got, "y")
	if nx < 2 || ny < 2 {
		return nil, fmt.Errorf("%d readings in x and %d in y; give at least two of each", nx, ny)
	}
	if math.Max(math.Abs(dx), math.Abs(dy)) > mostOff {
		return nil, fmt.Errorf("the lines lie %.1f, %.1f mm off their places; measure from the left and the front edge", dx, dy)
	}
	note := ""
	if w := math.Max(sx, sy); w > bedScatter {
		note = fmt.Sprintf("the readings scatter by %.2f mm: the axes may be out of square or out of scale, which no offset mends", w)
	}
	return []Change{
		{"printer", "zero_x", mm(c.Zero.X + dx), mm(c.Zero.X), measured("bed print", nx, sx), note},
		{"printer", "zero_y", mm(c.Zero.Y + dy), mm(c.Zero.Y), measured("bed print", ny, sy), note},
	}, nil
}

// bedScatter, mm, is more than a ruler's reading spreads.
const bedScatter = 0.4

// fitNozzles: the strand k lies at k·(pitch + step) plus the error and is in
// line with the mark at k·pitch, so that the error is −k·step.
func fitNozzles(c *printer.Card, got map[string]float64) ([]Change, error) {
	x, okX := got["x"]
	y, okY := got["y"]
	if !okX || !okY {
		return nil, errors.New("the readings x and y are both needed")
	}
	if math.Max(math.Abs(x), math.Abs(y)) > vernierMarks {
		return nil, fmt.Errorf("marks run from −%d to %d", vernierMarks, vernierMarks)
	}
	note := ""
	if !c.OffsetsInProgram {
		note = "the machine adds the offsets itself: enter the value in its control as well"
	}
	if math.Max(math.Abs(x), math.Abs(y)) == vernierMarks {
		note = strings.TrimPrefix(note+"; the last mark: print again with the new value", "; ")
	}
	source := "measured: nozzle print, read to 0.05 mm"
	return []Change{
		{"printer", "composite_offset_x", mm(c.Composite.Offset.X - x*vernierStep), mm(c.Composite.Offset.X), source, note},
		{"printer", "composite_offset_y", mm(c.Composite.Offset.Y - y*vernierStep), mm(c.Composite.Offset.Y), source, note},
	}, nil
}

// fitCutter: a tow that ends farther than planned was cut farther above the
// tip; one that begins late was fed down too little.
func (k *Calibration) fitCutter(c *printer.Card, got map[string]float64) ([]Change, error) {
	late, sl, nl := k.difference(got, "start")
	over, so, no := k.difference(got, "end")
	if nl < 2 || no < 2 {
		return nil, fmt.Errorf("%d beginnings and %d ends are given; give at least two of each", nl, no)
	}
	distance, restart := c.CutterDistance+over, c.RestartLength+late
	if distance <= 0 || restart <= 0 {
		return nil, fmt.Errorf("the cutter would sit %.1f mm above the tip and %.1f mm be fed down; measure from the start bar", distance, restart)
	}
	note := ""
	if s := math.Max(sl, so); s > cutterScatter {
		note = fmt.Sprintf("starts or ends spread by %.1f mm: the tow slips in its drive, or the cutter is blunt", s)
	}
	return []Change{
		{"printer", "cutter_distance", mm(distance), mm(c.CutterDistance), measured("cutter print", no, so), note},
		{"printer", "restart_length", mm(math.Max(restart, distance)), mm(c.RestartLength), measured("cutter print", nl, sl), note},
	}, nil
}

// cutterScatter, mm, is more than a cutter in order repeats.
const cutterScatter = 1.0

// fitFlow: the wall is as thick as plastic comes, so that the filament's section
// is the card's times measured over planned thickness.
func (k *Calibration) fitFlow(c *printer.Card, got map[string]float64) ([]Change, error) {
	d, s, n := k.difference(got, "wall")
	ratio := (c.WallWidth + d) / c.WallWidth
	if n < 2 || !(ratio > 0.5 && ratio < 2) {
		return nil, fmt.Errorf("%d walls of %.2f mm in the mean; give at least two, between half and twice the planned %.2f mm", n, c.WallWidth+d, c.WallWidth)
	}
	return []Change{{"printer", "filament_diameter", mm(c.FilamentDiameter * math.Sqrt(ratio)), mm(c.FilamentDiameter), measured("flow print", n, s),
		fmt.Sprintf("stands for the flow of this plastic: %.1f %% of what was planned came", 100*ratio)}}, nil
}

// fitTemperature takes the vertex of the parabola through the readings by least
// squares, or the best step where that is none or lies outside.
func (k *Calibration) fitTemperature(got map[string]float64) ([]Change, error) {
	var t, v []float64
	for _, r := range k.Readings {
		if x, ok := got[r.Name]; ok {
			degrees, _ := strconv.ParseFloat(strings.TrimPrefix(r.Name, "t"), 64)
			t, v = append(t, degrees), append(v, x)
		}
	}
	if len(t) < 3 {
		return nil, fmt.Errorf("%d steps are given; give at least three", len(t))
	}
	best := 0
	for i := range v {
		if v[i] > v[best] {
			best = i
		}
	}
	at, note := t[best], "the best step; its neighbours give no maximum between"
	if a, b, _ := parabola(t, v); a < 0 {
		if x := -b/(2*a) + t[0]; x > t[0] && x < t[len(t)-1] {
			at, note = math.Round(x), "top of the parabola through the readings"
		}
	}
	if best == 0 || best == len(t)-1 {
		note = "the best step is the last one: print again about it"
	}
	return []Change{{"plastic", "print_temperature", unit.Format(at, unit.Temperature), "", fmt.Sprintf("measured: temperature print, %d steps", len(t)), note}}, nil
}

// parabola fits a·x² + b·x + c over x − x[0] by least squares.
func parabola(x, y []float64) (a, b, c float64) {
	var s [5]float64
	var r [3]float64
	for i := range x {
		d, p := x[i]-x[0], 1.0
		for k := range s {
			s[k] += p
			if k < len(r) {
				r[k] += p * y[i]
			}
			p *= d
		}
	}
	det := func(m [9]float64) float64 {
		return m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
	}
	d := det([9]float64{s[4], s[3], s[2], s[3], s[2], s[1], s[2], s[1], s[0]})
	if d == 0 {
		return 0, 0, 0
	}
	a = det([9]float64{r[2], s[3], s[2], r[1], s[2], s[1], r[0], s[1], s[0]}) / d
	b = det([9]float64{s[4], r[2], s[2], s[3], r[1], s[1], s[2], r[0], s[0]}) / d
	c = det([9]float64{s[4], s[3], r[2], s[3], s[2], r[1], s[2], s[1], r[0]}) / d
	return a, b, c
}

// thinned walls: below this share of the slowest step's thickness the filament
// slips.
const slips = 0.95

// fitSpeed takes the fastest step before the walls grow thin.
func (k *Calibration) fitSpeed(c *printer.Card, got map[string]float64) ([]Change, error) {
	first, ok := got[k.Readings[0].Name]
	if !ok || !(first > 0) {
		return nil, fmt.Errorf("the thickness of the slowest step, %s, is needed", k.Readings[0].Name)
	}
	last, per := -1, len(k.Feeds)/len(k.Readings)
	for i, r := range k.Readings {
		v, ok := got[r.Name]
		if ok && v < slips*first {
			break
		}
		if ok {
			last = i
		}
	}
	flow := k.Feeds[last*per] * c.WallWidth * c.PlasticHeight
	note := "the wall grew thin in the next step"
	if last == len(k.Readings)-1 {
		note = "no step was too fast: raise the card's limit and print again to find it"
	}
	return []Change{{"printer", "plastic_flow_max", unit.FormatDigits(flow, unit.FlowRate, cardDigits), unit.FormatDigits(c.Plastic.FlowMax, unit.FlowRate, cardDigits), "measured: speed print", note}}, nil
}
