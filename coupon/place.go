package coupon

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Calibration is a print that measures something of a machine or a plastic.
type Calibration struct {
	Name, Title string
	Print       *strand.Print
	Placed      bool // coordinates are the bed's
	// Temperatures and Feeds, where given, hold for plain beads by layer.
	Temperatures, Feeds []float64
	Readings            []Reading
	How                 []string // steps for the page
}

// Reading is one figure to be read off a calibration print.
type Reading struct {
	Name    string  // in data files
	What    string  // for the page
	Nominal float64 // what a machine in order shows
	Unit    string
	At      geom.Point // where, for the drawing
}

// Calibrations lists the names of the calibration prints.
func Calibrations() []string {
	return []string{"bed", "nozzles", "cutter", "flow", "temperature", "speed"}
}

// NewCalibration plans a calibration print. temperature is the plastic's, °C.
// Errors: an unknown name, a machine that lacks what is measured.
func NewCalibration(name string, c *printer.Card, temperature float64) (*Calibration, error) {
	if !c.HasPlastic {
		return nil, fmt.Errorf("%s has no plastic nozzle, and the marks are of plain plastic", c.ID)
	}
	switch name {
	case "bed":
		return bedPrint(c), nil
	case "nozzles":
		return nozzlePrint(c), nil
	case "cutter":
		return cutterPrint(c), nil
	case "flow":
		return flowPrint(c), nil
	case "temperature":
		return temperaturePrint(c, temperature), nil
	case "speed":
		return speedPrint(c), nil
	}
	return nil, fmt.Errorf("there is no calibration print %q; the known ones are %s", name, strings.Join(Calibrations(), ", "))
}

// bar is a straight bead of plain plastic.
func bar(c *printer.Card, a, b geom.Point) strand.Bead {
	return strand.Bead{Kind: strand.Wall, Points: []geom.Point{a, b}, Width: c.WallWidth}
}

// bedPrint draws lines at known places near the bed's edges: where they lie
// tells how far the machine's zero is off.
func bedPrint(c *printer.Card) *Calibration {
	const long, short = 40.0, 20.0 // mm of the lines, and from the edge
	out := &Calibration{Name: "bed", Title: "Where the machine's zero lies on the bed", Placed: true, How: []string{
		"Print it on the bare bed.",
		"Measure from the bed's left edge, and from its front edge, to the middle of each line, to 0.1 mm. On a round bed measure from a square laid against its leftmost and foremost point.",
	}}
	l := strand.Layer{Height: c.PlasticHeight, Z: c.PlasticHeight, Composite: -1, Family: -1}
	inset := short
	if c.Bed.Round {
		inset = c.Bed.X * (1 - math.Sqrt2/2) / 2 * 1.4 // on the square within the circle
	}
	for i, x := range []float64{inset, c.Bed.X - inset} {
		for k, y := range []float64{inset, c.Bed.Y - inset} {
			sx, sy := float64(1-2*i), float64(1-2*k)
			p := geom.Point{X: x, Y: y}
			l.Beads = append(l.Beads, bar(c, p, p.Add(geom.Point{Y: sy * long})), bar(c, p.Add(geom.Point{X: sx * 2}), p.Add(geom.Point{X: sx * long})))
			n := 2*i + k + 1
			out.Readings = append(out.Readings,
				Reading{fmt.Sprintf("x%d", n), fmt.Sprintf("left edge to the upright line of corner %d", n), x, "mm", p.Add(geom.Point{Y: sy * long / 2})},
				Reading{fmt.Sprintf("y%d", n), fmt.Sprintf("front edge to the level line of corner %d", n), y, "mm", p.Add(geom.Point{X: sx * long / 2})})
		}
	}
	out.Print = &strand.Print{Region: rectangle(0, 0, c.Bed.X, c.Bed.Y), Layers: []strand.Layer{l}}
	return out
}

// Vernier of the nozzles: marks of plastic at one pitch, strands at another.
const (
	vernierPitch = 4.0 // mm of the plastic marks
	vernierStep  = 0.1 // mm by which the strands' pitch is larger
	vernierMarks = 8   // to either side of the middle
	markLength   = 12.0
)

// nozzlePrint lays strands beside marks of plastic, at pitches that differ by
// 0.1 mm: the pair that is in line tells by how much one nozzle is off.
func nozzlePrint(c *printer.Card) *Calibration {
	out := &Calibration{Name: "nozzles", Title: "The composite nozzle's offset from the plastic nozzle", How: []string{
		"Print it on the bare bed.",
		"In each of the two fields find the strand that lies in line with its mark; between two, give the half. Marks count from the long one in the middle, 0: to the right or the top as 1, 2 …, to the left or the bottom as −1, −2 …",
	}}
	strandLength := math.Max(60, c.CutterDistance+15)
	side := strandLength + 2*markLength + 10
	span := (vernierPitch + vernierStep) * vernierMarks
	base := strand.Layer{Height: c.PlasticHeight, Z: c.PlasticHeight, Composite: -1, Family: -1, Beads: rows(-span-5, -5, span+5+2*span+20, side, c.WallWidth)}
	marks := strand.Layer{Index: 1, Kind: strand.Composite, Height: c.CompositeHeight, Z: c.PlasticHeight + c.CompositeHeight}
	width := math.Max(c.SpacingMin, math.Min(1.2*c.SpacingMin, c.SpacingMax))
	field := func(turned bool, shift geom.Point) {
		at := func(u, v float64) geom.Point { // u along the vernier, v along strands
			if turned {
				return shift.Add(geom.Point{X: v, Y: u})
			}
			return shift.Add(geom.Point{X: u, Y: v})
		}
		for k := -vernierMarks; k <= vernierMarks; k++ {
			long := 0.0
			if k == 0 {
				long = markLength / 2
			}
			u := float64(k) * vernierPitch
			marks.Beads = append(marks.Beads, bar(c, at(u, -long), at(u, markLength)))
			v := float64(k) * (vernierPitch + vernierStep)
			a, b := at(v, markLength+1), at(v, markLength+1+strandLength)
			if k%2 != 0 {
				a, b = b, a
			}
			marks.Strands = append(marks.Strands, line(a, b, width))
		}
	}
	field(false, geom.Point{})
	field(true, geom.Point{X: span + 15, Y: span + 5})
	box := geom.Box{Min: geom.Point{X: -span - 8, Y: -8}, Max: geom.Point{X: span + 15 + strandLength + markLength + 8, Y: math.Max(side, 2*span+13)}}
	base.Beads = rows(box.Min.X, box.Min.Y, box.Max.X, box.Max.Y, c.WallWidth)
	out.Readings = []Reading{
		{"x", "number of the strand in line, left field", 0, "", geom.Point{}},
		{"y", "number of the strand in line, right field", 0, "", geom.Point{X: span + 15, Y: span + 5}},
	}
	out.Print = &strand.Print{Region: rectangle(box.Min.X, box.Min.Y, box.Max.X, box.Max.Y), SpacingMin: c.SpacingMin, SpacingMax: c.SpacingMax, Layers: []strand.Layer{base, marks}}
	return out
}

// cutterStrands are laid to average the cutter's repetition.
const cutterStrands = 5

// cutterPrint lays straight strands between marks at their planned start and
// end: where the tow starts and ends tells the way from cutter to nozzle.
func cutterPrint(c *printer.Card) *Calibration {
	out := &Calibration{Name: "cutter", Title: "The way of the tow from cutter to nozzle", How: []string{
		"Print it on the bare bed and let it cool. Long bars mark where each strand is planned to start (left) and to end (right).",
		"Measure for each strand from the start bar to where the tow begins, negative when before it, and to where the tow ends, loose end laid straight.",
	}}
	length := 2*c.CutterDistance + 60
	base := strand.Layer{Height: c.PlasticHeight, Z: c.PlasticHeight, Composite: -1, Family: -1}
	lay := strand.Layer{Index: 1, Kind: strand.Composite, Height: c.CompositeHeight, Z: c.PlasticHeight + c.CompositeHeight}
	const pitch = 8.0
	high := cutterStrands * pitch
	base.Beads = rows(-15, -5, length+30, high+5, c.WallWidth)
	for k := range cutterStrands {
		y := (float64(k) + 0.5) * pitch
		lay.Beads = append(lay.Beads, bar(c, geom.Point{Y: y + 2}, geom.Point{Y: y + 5.5}), bar(c, geom.Point{X: length, Y: y + 2}, geom.Point{X: length, Y: y + 5.5}))
		lay.Strands = append(lay.Strands, line(geom.Point{Y: y}, geom.Point{X: length, Y: y}, c.SpacingMin))
		out.Readings = append(out.Readings,
			Reading{fmt.Sprintf("start%d", k+1), fmt.Sprintf("start bar to the beginning of tow %d", k+1), 0, "mm", geom.Point{Y: y}},
			Reading{fmt.Sprintf("end%d", k+1), fmt.Sprintf("start bar to the end of tow %d", k+1), length, "mm", geom.Point{X: length, Y: y}})
	}
	out.Print = &strand.Print{Region: rectangle(-15, -5, length+30, high+5), SpacingMin: c.SpacingMin, SpacingMax: c.SpacingMax, Layers: []strand.Layer{base, lay}}
	return out
}
