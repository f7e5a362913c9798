package job

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/part"
)

// maxHeat bounds changes of temperature, K: beyond any plastic.
const maxHeat = 500

// placesApart is the least area that three places span, and the least distance
// of two, over the part's extent (its square): what lies closer does not tell a
// slope.
const placesApart = 1e-3

func (c *CaseTable) warms() bool {
	return c.TemperatureChange != 0 || c.TemperatureAcross != 0 || len(c.Temperatures) > 0
}

func (c *CaseTable) checkHeat(key string, l *faultList) {
	const within = "a change between -500 K and 500 K"
	l.within(key+".temperature_change", float64(c.TemperatureChange), -maxHeat, maxHeat, within)
	l.within(key+".temperature_across", float64(c.TemperatureAcross), -maxHeat, maxHeat, within)
	for i, t := range c.Temperatures {
		l.within(fmt.Sprintf("%s.temperature[%d].change", key, i), float64(t.Change), -maxHeat, maxHeat, within)
	}
	if c.TemperatureChange != 0 && len(c.Temperatures) > 0 {
		l.add(key+".temperature_change", "is for a part that changes evenly, and there are places with changes of their own", "delete it, or the [[case.temperature]]")
	}
	if n := len(c.Temperatures); n > 3 {
		l.add(key+".temperature", fmt.Sprintf("there are %d places, and three tell all of a linear change", n), "leave one to three of them")
	}
}

// heatOf returns a case's change of temperature: linear through its places, of
// the least slope where they are fewer than three.
func (j *Job) heatOf(p *part.Part, key string, t CaseTable) part.Heat {
	h := part.Heat{Change: float64(t.TemperatureChange), Across: float64(t.TemperatureAcross) / p.Thickness}
	if len(t.Temperatures) == 0 || len(t.Temperatures) > 3 {
		return h
	}
	at := func(i int) geom.Point {
		return geom.Point{X: float64(t.Temperatures[i].At[0]), Y: float64(t.Temperatures[i].At[1])}
	}
	change := func(i int) float64 { return float64(t.Temperatures[i].Change) }
	box := p.Region.Bounds()
	least := placesApart * box.Extent()
	switch len(t.Temperatures) {
	case 2:
		d := at(1).Sub(at(0))
		if d.Norm() < least {
			j.faults.add(key+".temperature[1].at", "is the place of the first", "move it, or delete one of them")
			return h
		}
		h.Slope = d.Scale((change(1) - change(0)) / d.Dot(d))
	case 3:
		a, b := at(1).Sub(at(0)), at(2).Sub(at(0))
		det := a.Cross(b)
		if math.Abs(det) < least*box.Extent() {
			j.faults.add(key+".temperature[2].at", "lies in line with the other two places", "move it aside, or delete it")
			return h
		}
		da, db := change(1)-change(0), change(2)-change(0)
		h.Slope = geom.Point{X: (da*b.Y - db*a.Y) / det, Y: (db*a.X - da*b.X) / det}
	}
	h.Change = change(0) - h.Slope.Dot(at(0))
	for _, q := range []geom.Point{box.Min, box.Max, {X: box.Min.X, Y: box.Max.Y}, {X: box.Max.X, Y: box.Min.Y}} {
		if v := h.At(q); math.Abs(v) > maxHeat {
			j.faults.add(key+".temperature", fmt.Sprintf("carried on to (%.4g, %.4g) mm the part changes by %.4g K", q.X, q.Y, v), "give changes farther apart, so that the part stays between -500 K and 500 K")
			break
		}
	}
	return h
}
