package study

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"

	"sinew/job"
)

// variable is one [[vary]]: its levels, or a span from which values are drawn.
type variable struct {
	name   string
	keys   []string
	levels [][]any // one value a key; nil: any value of the span
	span   span
}

// span is a range of values in one unit.
type span struct {
	from, to float64
	unit     string
	whole    bool // of whole numbers
}

// point is one combination of values.
type point struct {
	values []value // one a variable
	text   []byte  // the job file
}

// value is what a variable is at a point.
type value struct {
	set   []any // one a key
	level int   // index of the variable's level; -1: drawn
}

// String writes a value as the tables show it.
func (v value) String() string {
	parts := make([]string, len(v.set))
	for i, s := range v.set {
		parts[i] = fmt.Sprint(s)
	}
	return strings.Join(parts, ", ")
}

// readVariables turns the tables into variables.
func (p *plan) readVariables(b *job.Beside) {
	for i := range p.file.Vary {
		t := &p.file.Vary[i]
		at := fmt.Sprintf("vary[%d].", i)
		v := variable{name: t.Name, keys: t.Keys}
		if t.Key != "" {
			v.keys = []string{t.Key}
		}
		if v.name == "" {
			v.name = strings.Join(v.keys, ", ")
		}
		switch given := t.From != nil || t.To != nil || t.Count != 0; {
		case len(t.Values) > 0 && given:
			b.Fault(at+"values", "does not go with from, to, count", "keep one of the two")
		case len(t.Values) > 0:
			v.readValues(b, at+"values", t)
		case len(v.keys) > 1:
			b.Fault(at+"keys", "needs values", "give values = [[…, …], …], one value a key")
		default:
			v.readSpan(b, at, t, p.file.Sample.How == "spread")
		}
		p.vars = append(p.vars, v)
	}
}

func (v *variable) readValues(b *job.Beside, at string, t *VaryTable) {
	for _, one := range t.Values {
		if t.Key != "" {
			v.levels = append(v.levels, []any{one})
			continue
		}
		row, ok := one.([]any)
		if !ok || len(row) != len(v.keys) {
			b.Fault(at, fmt.Sprintf("%v is not one value for each of %d keys", one, len(v.keys)), "write each as a list with one value a key")
			return
		}
		v.levels = append(v.levels, row)
	}
}

// readSpan reads from, to and count.
func (v *variable) readSpan(b *job.Beside, at string, t *VaryTable, spread bool) {
	from, unit1, whole1, ok1 := number(t.From)
	to, unit2, whole2, ok2 := number(t.To)
	switch {
	case !ok1 || !ok2:
		b.Fault(at+"from", "a variable needs values, or from and to", `write values = […], or from and to as numbers or as text such as "0.8 mm"`)
		return
	case unit1 != unit2:
		b.Fault(at+"to", fmt.Sprintf("is in %q, from is in %q", unit2, unit1), "write both in one unit")
		return
	case !(from < to):
		b.Fault(at+"to", "does not lie above from", "write the lesser of the two as from")
		return
	case t.Count < 0 || t.Count == 1 || t.Count > maxPoints:
		b.Fault(at+"count", fmt.Sprintf("is %d", t.Count), fmt.Sprintf("give 2 to %d values", maxPoints))
		return
	}
	v.span = span{from, to, unit1, whole1 && whole2}
	n := t.Count
	switch {
	case n == 0 && v.span.whole && to-from < maxPoints:
		n = int(to-from) + 1
	case n == 0 && spread && !v.span.whole:
		return // any value will do
	case n == 0:
		b.Fault(at+"count", "is missing", "say how many values lie from first to last")
		return
	}
	for i := range n {
		x := from + (to-from)*float64(i)/float64(n-1)
		if v.span.whole && x != math.Trunc(x) {
			b.Fault(at+"count", fmt.Sprintf("%d values from %g to %g are no whole numbers", n, from, to), "choose another count, or write from = "+strconv.FormatFloat(from, 'f', 1, 64))
			return
		}
		v.levels = append(v.levels, []any{v.span.value(strconv.FormatFloat(x, 'g', gridDigits, 64))})
	}
}

// gridDigits rounds away what the division into steps leaves behind.
const gridDigits = 12

// number reads a number, or text of number and unit.
func number(v any) (x float64, unit string, whole, ok bool) {
	switch v := v.(type) {
	case int64:
		return float64(v), "", true, true
	case float64:
		return v, "", false, !math.IsNaN(v) && !math.IsInf(v, 0)
	case string:
		text, unit, _ := strings.Cut(v, " ")
		x, err := strconv.ParseFloat(text, 64)
		return x, strings.TrimSpace(unit), false, err == nil && unit != "" && !math.IsNaN(x) && !math.IsInf(x, 0)
	}
	return 0, "", false, false
}

// value is what a job file holds for a number of the span.
func (s span) value(text string) any {
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil:
		panic("study: a number that was written cannot be read: " + text)
	case s.unit != "":
		return strconv.FormatFloat(x, 'f', -1, 64) + " " + s.unit
	case s.whole:
		return int64(x)
	}
	return x
}

// at is the value at a share of the span, rounded to a thousandth of it or
// finer.
func (s span) at(share float64) any {
	digits := max(0, 3-int(math.Floor(math.Log10(s.to-s.from))))
	return s.value(strconv.FormatFloat(s.from+share*(s.to-s.from), 'f', digits, 64))
}

// draw makes the points, in their order: with every the last variable changes
// fastest.
func (p *plan) draw(b *job.Beside, jobText []byte) error {
	if n := p.count(); n > maxPoints {
		b.Fault("vary", fmt.Sprintf("every combination is more than %d points", maxPoints), `leave out values, or write [sample] how = "spread" with a number of points`)
		return b.Err()
	}
	for i := range p.count() {
		pt := point{values: make([]value, len(p.vars))}
		rest := i
		for k := len(p.vars) - 1; k >= 0; k-- {
			v := &p.vars[k]
			if p.file.Sample.How == "spread" {
				pt.values[k] = v.drawn(spread(i, k, p.file.Sample.Seed))
				continue
			}
			pt.values[k] = value{v.levels[rest%len(v.levels)], rest % len(v.levels)}
			rest /= len(v.levels)
		}
		if err := p.write(b, &pt, jobText); err != nil {
			return err
		}
		p.points = append(p.points, pt)
	}
	return nil
}

// count is the number of points, or more than maxPoints.
func (p *plan) count() int {
	if p.file.Sample.How == "spread" {
		return p.file.Sample.Points
	}
	n := 1
	for i := range p.vars {
		if n *= len(p.vars[i].levels); n > maxPoints {
			break
		}
	}
	return n
}

// drawn is the value at a share from 0 to 1.
func (v *variable) drawn(share float64) value {
	if v.levels == nil {
		return value{[]any{v.span.at(share)}, -1}
	}
	level := min(int(share*float64(len(v.levels))), len(v.levels)-1)
	return value{v.levels[level], level}
}

// write edits the job file for a point. An edit that cannot be made is a fault
// of the study file.
func (p *plan) write(b *job.Beside, pt *point, jobText []byte) error {
	var err error
	pt.text = jobText
	edit := func(at, key string, v any) bool {
		if pt.text, err = job.ApplyEdits(pt.text, []job.Edit{{Op: "set", Key: key, Value: v}}); err != nil {
			b.Fault(at, key+" cannot be set: "+plainError(err), "mend the key, or the job file")
		}
		return err == nil
	}
	for i, s := range p.file.Set {
		if !edit(fmt.Sprintf("set[%d].key", i), s.Key, s.Value) {
			return b.Err()
		}
	}
	for k, v := range pt.values {
		for i, key := range p.vars[k].keys {
			if !edit(fmt.Sprintf("vary[%d]", k), key, v.set[i]) {
				return b.Err()
			}
		}
	}
	return nil
}

// primes are the bases of Halton's sequence, one a variable.
var primes = [maxVariables]int{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71}

// spread is coordinate k of the i-th point of Halton's sequence, shifted by the
// seed, in [0, 1).
func spread(i, k, seed int) float64 {
	x := radicalInverse(i+1, primes[k]) + shift(seed, k)
	return x - math.Floor(x)
}

// radicalInverse mirrors the digits of n in a base at the point.
func radicalInverse(n, base int) float64 {
	x, place := 0.0, 1/float64(base)
	for ; n > 0; n /= base {
		x += place * float64(n%base)
		place /= float64(base)
	}
	return x
}

// shift is the number of [0, 1) that seed and variable give: the first 53
// bits of a hash, the same on every machine.
func shift(seed, k int) float64 {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %d", seed, k))
	return float64(binary.BigEndian.Uint64(sum[:8])>>11) / (1 << 53)
}
