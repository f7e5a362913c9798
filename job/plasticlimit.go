package job

import (
	"fmt"
	"math"
	"slices"

	"sinew/check"
	"sinew/geom"
	"sinew/material"
)

// plasticFindings tells where a plastic works above its limit, where a case
// warms the part over it, and where a card has less to tell than the job asks.
func (j *Job) plasticFindings() []FindingRecord {
	list := []FindingRecord{}
	add := func(id string, how check.Severity, what, remedy string) {
		if !slices.ContainsFunc(list, func(f FindingRecord) bool { return f.What == what }) {
			list = append(list, FindingRecord{ID: id, Severity: how.String(), Layer: -1, Count: 1, What: what, Remedy: remedy})
		}
	}
	plastics := []material.Plastic{j.in.plastic}
	if p := j.in.shortFibre; p != nil {
		plastics = append(plastics, *p)
	}
	for _, p := range plastics {
		s, err := p.In(j.in.state)
		if err != nil {
			continue // the law, or the proof, refuses it with its reason
		}
		if s.Above {
			add("plastic-too-warm", check.Warn, fmt.Sprintf("%s: %s", p.Title, s.Why), "choose a plastic that stands the temperature")
		}
		for _, n := range s.Notes {
			add("plastic-data", check.Note, n, "give the plastic's card figures for where the part works")
		}
	}
	limit := j.in.plastic.DeflectionTemperature
	for i := range j.in.part.Cases {
		hottest := j.in.state.Temperature + j.greatestChange(i)
		if j.in.state.Temperature <= limit && hottest > limit {
			add("plastic-too-warm", check.Warn,
				fmt.Sprintf("case %s: warmed by %.4g K from %.4g °C the part comes to %.4g °C, above the heat-deflection limit of %s, %.4g °C; its strengths are those of %.4g °C",
					j.in.part.Cases[i].Name, j.greatestChange(i), j.in.state.Temperature, hottest, j.in.plastic.Title, limit, j.in.state.Temperature),
				"state material.temperature as hot as the part becomes, and choose a plastic that stands it")
		}
	}
	return list
}

// greatestChange is the most that a case warms any place of the part, K, by the
// corners of the box around it; without the case's factor.
func (j *Job) greatestChange(i int) float64 {
	c := j.in.part.Cases[i]
	box := j.in.part.Region.Outer.Bounds()
	most := math.Inf(-1)
	for _, p := range []geom.Point{box.Min, box.Max, {X: box.Min.X, Y: box.Max.Y}, {X: box.Max.X, Y: box.Min.Y}} {
		most = math.Max(most, c.Heat.At(p))
	}
	return most + math.Abs(c.Heat.Across)*j.in.part.Thickness/2
}
