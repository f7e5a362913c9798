package coupon

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Sizes of the prints for a plastic.
const (
	boxSide     = 30.0 // mm of the box with walls of one bead
	boxHeight   = 12.0
	stepHeight  = 8.0 // mm of each temperature or speed
	steps       = 6
	degreesStep = 8.0 // K between temperatures
)

// box is a print of walls of one bead.
func box(c *printer.Card, layers int) *strand.Print {
	pr := &strand.Print{Region: rectangle(0, 0, boxSide, boxSide)}
	g := c.WallWidth / 2
	for k := range layers {
		pr.Layers = append(pr.Layers, strand.Layer{
			Index: k, Height: c.PlasticHeight, Z: float64(k+1) * c.PlasticHeight, Composite: -1, Family: -1,
			Beads: []strand.Bead{{Kind: strand.Wall, Closed: true, Width: c.WallWidth, Points: []geom.Point{
				{X: g, Y: g}, {X: boxSide - g, Y: g}, {X: boxSide - g, Y: boxSide - g}, {X: g, Y: boxSide - g}}}},
		})
	}
	return pr
}

func layersOf(c *printer.Card, height float64) int {
	return max(2, int(math.Round(height/c.PlasticHeight)))
}

// flowPrint is a box with walls of one bead, whose thickness tells how much
// plastic comes.
func flowPrint(c *printer.Card) *Calibration {
	out := &Calibration{Name: "flow", Title: "How much plastic comes for a length of filament", Print: box(c, layersOf(c, boxHeight)), How: []string{
		"Print it with the new plastic, dry.",
		"Measure each wall's thickness in its middle, above the lowest three layers, to 0.01 mm.",
	}}
	mid := []geom.Point{{X: boxSide / 2}, {X: boxSide, Y: boxSide / 2}, {X: boxSide / 2, Y: boxSide}, {Y: boxSide / 2}}
	for i, p := range mid {
		out.Readings = append(out.Readings, Reading{fmt.Sprintf("wall%d", i+1), fmt.Sprintf("thickness of wall %d", i+1), c.WallWidth, "mm", p})
	}
	return out
}

// temperaturePrint is a box whose nozzle temperature rises from step to step
// about that of the plastic's card.
func temperaturePrint(c *printer.Card, about float64) *Calibration {
	per := layersOf(c, stepHeight)
	out := &Calibration{Name: "temperature", Title: "The nozzle temperature of a plastic", Print: box(c, steps*per), How: []string{
		"Print it with the new plastic, dry. Steps count from the bottom.",
		"Saw a strip of one bead out of each step, upright, 10 mm wide, and pull it: write down the force at which it breaks between layers. Where nothing can be pulled, a mark from 1 (strings, gaps) to 10 (smooth, whole).",
	}}
	least := math.Min(about-degreesStep*(steps-1)/2, c.NozzleMax-degreesStep*(steps-1))
	for k := range steps {
		t := math.Round(least + degreesStep*float64(k))
		for range per {
			out.Temperatures = append(out.Temperatures, t)
		}
		out.Readings = append(out.Readings, Reading{fmt.Sprintf("t%.0f", t), fmt.Sprintf("force or mark of step %d, printed at %.0f °C", k+1, t), math.NaN(), "", geom.Point{X: boxSide / 2}})
	}
	return out
}

// speedPrint is a box that is printed faster from step to step, up to the flow
// that the card allows.
func speedPrint(c *printer.Card) *Calibration {
	per := layersOf(c, stepHeight)
	out := &Calibration{Name: "speed", Title: "The flow up to which a plastic is molten through", Print: box(c, steps*per), How: []string{
		"Print it with the new plastic, dry. Steps count from the bottom.",
		"Measure the wall's thickness in the middle of each step, to 0.01 mm.",
	}}
	fastest := math.Min(c.Plastic.FeedMax, c.Plastic.FlowMax/(c.WallWidth*c.PlasticHeight))
	for k := range steps {
		feed := fastest * float64(k+1) / steps
		for range per {
			out.Feeds = append(out.Feeds, feed)
		}
		out.Readings = append(out.Readings, Reading{fmt.Sprintf("v%d", k+1), fmt.Sprintf("thickness of step %d, printed at %.3g mm/s", k+1, feed), c.WallWidth, "mm", geom.Point{X: boxSide / 2}})
	}
	return out
}
