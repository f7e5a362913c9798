package unit

import (
	"math"
	"strconv"
	"strings"
)

// Format writes a quantity so that Parse returns exactly v, with the unit that
// keeps the number between 1 and 1000 where the kind has one. Infinity and NaN,
// which Parse refuses, are written as such.
func Format(v float64, k Kind) string { return write(v, k, -1) }

// FormatDigits writes a quantity rounded to a number of significant digits,
// for people.
func FormatDigits(v float64, k Kind, digits int) string {
	return write(v, k, max(1, digits))
}

func write(v float64, k Kind, digits int) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	s := k.shownFor(v)
	if s.factor == 0 {
		return join(shifted(v, -s.power, digits), s.text)
	}
	// Only angles are shown in a unit that is no power of ten away.
	if digits > 0 {
		return join(shifted(v/s.factor, 0, digits), s.text)
	}
	for n := 15; n <= 17; n++ {
		text := join(shifted(v/s.factor, 0, n), s.text)
		if back, err := Parse(text, k); err == nil && back == v {
			return text
		}
	}
	return join(shifted(v, 0, -1), "rad")
}

// shownFor chooses the unit that a value is shown in: the largest of the
// kind's list that leaves the number at 1 or above, else the kind's first.
func (k Kind) shownFor(v float64) symbol {
	in := k.info()
	best := k.symbol(in.shown[0])
	if len(in.shown) == 1 {
		return best
	}
	if v == 0 {
		return in.symbols[0]
	}
	for _, text := range in.shown[1:] {
		if s := k.symbol(text); math.Abs(v) >= math.Pow10(s.power) {
			best = s
		}
	}
	return best
}

func (k Kind) symbol(text string) symbol {
	for _, s := range k.info().symbols {
		if s.text == text {
			return s
		}
	}
	panic("unit: " + k.String() + " is shown in a unit it does not know")
}

// shifted writes v times a power of ten: the decimal digits of v (all that are
// needed, or so many) with the point moved, so that nothing is rounded twice.
func shifted(v float64, power, digits int) string {
	if digits > 0 {
		digits--
	}
	text := strconv.FormatFloat(v, 'e', digits, 64)
	mantissa, e, _ := strings.Cut(text, "e")
	exponent, _ := strconv.Atoi(e)
	exponent += power
	sign := ""
	if mantissa[0] == '-' {
		sign, mantissa = "-", mantissa[1:]
	}
	figures := strings.TrimRight(strings.Replace(mantissa, ".", "", 1), "0")
	switch {
	case figures == "":
		return "0"
	case exponent < -5 || exponent > 14:
		return sign + figures[:1] + strings.TrimSuffix("."+figures[1:], ".") + "e" + strconv.Itoa(exponent)
	case exponent < 0:
		return sign + "0." + strings.Repeat("0", -exponent-1) + figures
	case exponent+1 >= len(figures):
		return sign + figures + strings.Repeat("0", exponent+1-len(figures))
	}
	return sign + figures[:exponent+1] + "." + figures[exponent+1:]
}

func join(number, sym string) string {
	if sym == "" {
		return number
	}
	return number + " " + sym
}

// Reserve writes a reserve factor without promising more than was found: digits
// beyond two places (one from ten on) are cut off, never rounded up, so that 0.999
// does not read as 1. From a hundred on its size says no more.
func Reserve(v float64) string {
	const grain = 1e-9 // a figure that is whole but for rounding keeps its last digit
	switch {
	case math.IsNaN(v):
		return "–"
	case v >= 100:
		return "≥ 100"
	case v >= 10:
		return strconv.FormatFloat(math.Floor(v*10+grain)/10, 'f', 1, 64)
	}
	return strconv.FormatFloat(math.Floor(v*100+grain)/100, 'f', 2, 64)
}
