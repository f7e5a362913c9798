package field

import (
	"fmt"
	"math"

	"sinew/part"
)

// CandidateSettings says which families a search may take up.
type CandidateSettings struct {
	Steered  bool      // one for all cases and, of several, one for each
	Loops    bool      // around each pin and each pair of pins
	Rim      bool      // along the outline
	Plain    bool      // plain plastic
	Angles   []float64 // of straight families, rad
	Spacing  float64   // of all, mm; 0 means 1 mm
	Turns    int       // of loops and rims; 0 means 3
	Together bool      // leaves out families for single cases and single pins
}

// Candidates lists families that a search may take up for a part, none with a
// layer yet. A pin is a hole that is loaded or held.
func Candidates(p *part.Part, s CandidateSettings) []Request {
	var out []Request
	add := func(r Request) {
		r.Spacing, r.Turns = s.Spacing, s.Turns
		out = append(out, r)
	}
	if s.Steered {
		add(Request{Name: "along the load", Kind: Steered})
		for c := range p.Cases {
			if len(p.Cases) > 1 && !s.Together {
				add(Request{Name: "along " + p.Cases[c].Name, Kind: Steered, Cases: []int{c}})
			}
		}
	}
	if s.Loops {
		pins := pinsOf(p)
		for i, a := range pins {
			for _, b := range pins[i+1:] {
				add(Request{Name: fmt.Sprintf("loop %s to %s", p.Features[a].Name, p.Features[b].Name), Kind: Loop, Around: []int{a, b}})
			}
			if !s.Together {
				add(Request{Name: "loop around " + p.Features[a].Name, Kind: Loop, Around: []int{a}})
			}
		}
	}
	if s.Rim {
		add(Request{Name: "rim", Kind: Rim})
	}
	if s.Plain {
		add(Request{Name: "plain plastic", Kind: Plain})
	}
	for _, a := range s.Angles {
		add(Request{Name: fmt.Sprintf("straight %+.4g°", a*180/math.Pi), Kind: Straight, Angle: a})
	}
	return out
}

// pinsOf lists the features that are loaded or held holes, rising.
func pinsOf(p *part.Part) []int {
	active := map[int]bool{}
	for _, s := range p.Supports {
		active[s.Feature] = true
	}
	for _, c := range p.Cases {
		for _, l := range c.Loads {
			active[l.Feature] = true
		}
	}
	var out []int
	for f := range p.Features {
		if active[f] && p.Features[f].Kind == part.Hole {
			out = append(out, f)
		}
	}
	return out
}
