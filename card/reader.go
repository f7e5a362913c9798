package card

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/unit"
)

// Reader asks a card for its values and gathers what is wrong with them. After
// the last question, Done tells. Until then faulty values read as zero.
type Reader struct {
	card *Card
	read map[string]bool
	l    faults
}

// Reader returns a new reader of the card.
func (c *Card) Reader() *Reader {
	return &Reader{c, map[string]bool{}, faults{file: c.File, lines: c.lines}}
}

// Has reports whether the card gives a value for the key. It does not count as
// a question.
func (r *Reader) Has(key string) bool {
	_, ok := r.card.Values[key]
	return ok
}

// Number returns a value that the card must have, in sinew's units, from lo to
// hi, both included.
func (r *Reader) Number(key string, k unit.Kind, lo, hi float64) float64 {
	text, ok := r.text(key, "such as "+k.Example())
	if !ok {
		return 0
	}
	return r.number(key, text, k, lo, hi)
}

// Optional returns a value as Number does, or def where the card is silent.
func (r *Reader) Optional(key string, k unit.Kind, lo, hi, def float64) float64 {
	if !r.Has(key) {
		return def
	}
	return r.Number(key, k, lo, hi)
}

// Choice returns a word that the card must have, one of those allowed.
func (r *Reader) Choice(key string, allowed ...string) string {
	text, ok := r.text(key, "one of "+strings.Join(allowed, ", "))
	if ok && !slices.Contains(allowed, text) {
		r.fault(key, fmt.Sprintf("is %q", text), "write one of "+strings.Join(allowed, ", "))
	}
	return text
}

// OptionalChoice returns a word as Choice does, or def where the card is silent.
func (r *Reader) OptionalChoice(key, def string, allowed ...string) string {
	if !r.Has(key) {
		return def
	}
	return r.Choice(key, allowed...)
}

// Text returns a text that the card must have.
func (r *Reader) Text(key string) string {
	text, _ := r.text(key, "a text")
	return text
}

// OptionalText returns a text, or def where the card is silent.
func (r *Reader) OptionalText(key, def string) string {
	if !r.Has(key) {
		return def
	}
	return r.Text(key)
}

// Curve returns the points {x, y} of a value that the card must have, x rising
// from point to point. A single value stands for a curve of one point, x = 0:
// it does not depend on x.
func (r *Reader) Curve(key string, kx, ky unit.Kind) [][2]float64 {
	return r.CurveWithin(key, kx, ky, math.Inf(-1), math.Inf(1))
}

// CurveWithin is Curve with a range for y.
func (r *Reader) CurveWithin(key string, kx, ky unit.Kind, lo, hi float64) [][2]float64 {
	v, ok := r.value(key, "such as "+ky.Example())
	if !ok {
		return nil
	}
	if v.Points == nil {
		return [][2]float64{{0, r.number(key, v.Text, ky, lo, hi)}}
	}
	inf := math.Inf(1)
	curve := make([][2]float64, len(v.Points))
	for i, p := range v.Points {
		x := r.number(key, p[0], kx, -inf, inf)
		if i > 0 && x <= curve[i-1][0] {
			r.fault(key, fmt.Sprintf("point %d, %q, does not come after %q", i+1, p[0], v.Points[i-1][0]), "order the points by rising "+kx.String())
		}
		curve[i] = [2]float64{x, r.number(key, p[1], ky, lo, hi)}
	}
	return curve
}

// OptionalCurve returns a curve as CurveWithin does, or nil where the card is
// silent.
func (r *Reader) OptionalCurve(key string, kx, ky unit.Kind, lo, hi float64) [][2]float64 {
	if !r.Has(key) {
		return nil
	}
	return r.CurveWithin(key, kx, ky, lo, hi)
}

// Fault notes a fault that the caller found in a value, so that Done reports
// it with the others.
func (r *Reader) Fault(key, what, remedy string) { r.fault(key, what, remedy) }

// Done returns an *Error with all faults, keys that were not asked for among
// them, or nil.
func (r *Reader) Done() error {
	l := r.l
	l.list = slices.Clone(l.list)
	for key := range r.card.Values {
		if !r.read[key] {
			l.add("value."+key, "unknown key for a "+r.card.Kind+" card", "delete it, or check its spelling")
		}
	}
	return l.err()
}

func (r *Reader) fault(key, what, remedy string) { r.l.add("value."+key, what, remedy) }

// value returns the value of a key and marks it as read.
func (r *Reader) value(key, such string) (Value, bool) {
	r.read[key] = true
	v, ok := r.card.Values[key]
	if !ok {
		r.fault(key, "is missing", "add it below [value], "+such)
	}
	return v, ok
}

// text returns the text of a key that must not be a curve.
func (r *Reader) text(key, such string) (string, bool) {
	v, ok := r.value(key, such)
	if ok && v.Points != nil {
		r.fault(key, "is a curve where one value is wanted", "write is = \"…\", "+such)
		return "", false
	}
	return v.Text, ok
}

func (r *Reader) number(key, text string, k unit.Kind, lo, hi float64) float64 {
	v, err := unit.Parse(text, k)
	if err != nil {
		r.fault(key, err.Error(), "")
		return 0
	}
	if !(v >= lo && v <= hi) {
		r.fault(key, "is "+text, "give "+rangeText(k, lo, hi))
		return 0
	}
	return v
}

// rangeText says which values are allowed.
func rangeText(k unit.Kind, lo, hi float64) string {
	low, high := unit.FormatDigits(lo, k, 6), unit.FormatDigits(hi, k, 6)
	switch {
	case math.IsInf(hi, 1):
		return "at least " + low
	case math.IsInf(lo, -1):
		return "at most " + high
	}
	return "a value from " + low + " to " + high
}
