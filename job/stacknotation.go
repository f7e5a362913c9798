package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"sinew/unit"
)

// stackItem is one layer of a stack as it is written.
type stackItem struct {
	plastic   bool
	angle     float64 // rad, of a bead
	spacing   float64 // mm, of a bead; 0: the question's
	infill    float64 // of plastic: share of the inside under beads
	walls     float64 // of plastic: share of the section in solid walls
	thickness float64 // mm; 0: the printer's layer
}

// mostStackLayers bounds what a few letters may ask for.
const mostStackLayers = 2000

// stackNotation is what a stack looks like, for messages.
const stackNotation = `write layers bottom first as [0/±45/90@0.8mm/plastic*2]s: angles in degrees, @ a spacing of their own, : a thickness, * how often; plastic@30% for infill, plastic@30%+10% with a tenth of the section in walls; s mirrors the stack`

// parseStack reads the trade's way of writing a stack: layers parted by
// strokes, bottom first, in brackets that an s may follow.
func parseStack(text string) ([]stackItem, error) {
	t := strings.ReplaceAll(text, " ", "")
	symmetric := false
	if inside, ok := strings.CutPrefix(t, "["); ok {
		inside, symmetric = strings.CutSuffix(inside, "]s")
		if !symmetric {
			if inside, ok = strings.CutSuffix(inside, "]"); !ok {
				return nil, fmt.Errorf("stack %q has a bracket that nothing closes", text)
			}
		}
		t = inside
	}
	var list []stackItem
	for k, word := range strings.Split(t, "/") {
		layers, err := parseStackItem(word)
		if err != nil {
			return nil, fmt.Errorf("layer %d, %q: %w", k+1, word, err)
		}
		if list = append(list, layers...); len(list) > mostStackLayers {
			return nil, fmt.Errorf("more than %d layers", mostStackLayers)
		}
	}
	if symmetric {
		for i := len(list) - 1; i >= 0; i-- {
			list = append(list, list[i])
		}
	}
	return list, nil
}

// parseStackItem reads one word: what lies there, and how often.
func parseStackItem(word string) ([]stackItem, error) {
	what, times, repeated := strings.Cut(word, "*")
	count := 1
	if repeated {
		var err error
		if count, err = strconv.Atoi(times); err != nil || count < 1 || count > mostStackLayers {
			return nil, fmt.Errorf("%q is no number of layers from 1 to %d", times, mostStackLayers)
		}
	}
	var y stackItem
	what, thickness, stated := strings.Cut(what, ":")
	if stated {
		if err := positive(&y.thickness, thickness, unit.Length); err != nil {
			return nil, err
		}
	}
	what, detail, detailed := strings.Cut(what, "@")
	one := []stackItem{y}
	if what == "plastic" {
		one[0].plastic, one[0].infill = true, 1
		if err := one[0].fill(detail, detailed); err != nil {
			return nil, err
		}
	} else {
		if detailed {
			if err := positive(&one[0].spacing, detail, unit.Length); err != nil {
				return nil, err
			}
		}
		number, both := strings.CutPrefix(what, "±")
		angle, err := strconv.ParseFloat(strings.TrimSuffix(number, "°"), 64)
		if err != nil || math.IsNaN(angle) || math.Abs(angle) > 360 {
			return nil, fmt.Errorf("%q is neither plastic nor an angle within ±360 degrees", what)
		}
		one[0].angle = angle * math.Pi / 180
		if both {
			other := one[0]
			other.angle = -other.angle
			one = append(one, other)
		}
	}
	var out []stackItem
	for range count {
		out = append(out, one...)
	}
	return out, nil
}

// fill reads share and walls of a plastic layer.
func (y *stackItem) fill(detail string, detailed bool) error {
	if !detailed {
		return nil
	}
	share, walls, walled := strings.Cut(detail, "+")
	if err := positive(&y.infill, share, unit.Share); err != nil {
		return err
	}
	if walled {
		if err := positive(&y.walls, walls, unit.Share); err != nil {
			return err
		}
	}
	if y.infill > 1 || y.walls > 1 {
		return fmt.Errorf("shares of %g and %g: neither may be above 100 %%", y.infill, y.walls)
	}
	return nil
}

// positive parses a quantity that must be above zero.
func positive(to *float64, text string, kind unit.Kind) error {
	v, err := unit.Parse(text, kind)
	if err != nil {
		return err
	}
	if !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("%q must be above zero", text)
	}
	*to = v
	return nil
}
