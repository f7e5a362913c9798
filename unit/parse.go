package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// maxText bounds the text of one quantity, in bytes: a float64 needs 24.
const maxText = 200

// Parse reads a quantity of a kind and returns it in sinew's units. The error
// says what is wrong and how to write it; it does not name the place, which
// the caller knows.
func Parse(text string, k Kind) (float64, error) {
	if len(text) > maxText {
		return 0, fmt.Errorf("a quantity of %d characters; write for example %q", len(text), k.Example())
	}
	number, sym := cut(text)
	if number == "" {
		return 0, fmt.Errorf("%q is not a %s; write for example %q", text, k, k.Example())
	}
	if strings.HasPrefix(sym, ",") {
		return 0, fmt.Errorf("%q has a comma; write a decimal point, and no separators between thousands", text)
	}
	s, err := k.find(text, number, sym)
	if err != nil {
		return 0, err
	}
	v, err := s.value(number)
	if err != nil {
		return 0, fmt.Errorf("%q: %w; write for example %q", text, err, k.Example())
	}
	if k == Count && v != math.Trunc(v) {
		return 0, fmt.Errorf("%q is not a whole number", text)
	}
	return v, nil
}

// cut splits a text into its number, written with ASCII digits, and the
// normal form of its unit. The number is empty if there is none.
func cut(text string) (number, sym string) {
	t := strings.TrimSpace(spaces(text))
	sign := ""
	for _, s := range []string{"-", "\u2212", "+"} {
		if rest, ok := strings.CutPrefix(t, s); ok {
			t = rest
			if s != "+" {
				sign = "-"
			}
			break
		}
	}
	n := numberLength(t)
	if n == 0 {
		return "", ""
	}
	return sign + t[:n], normal(t[n:])
}

// spaces replaces the blanks that word processors use by the plain one.
func spaces(t string) string {
	return strings.NewReplacer("\u00a0", " ", "\u2009", " ", "\u202f", " ").Replace(t)
}

// numberLength returns how many bytes of t are an unsigned decimal number:
// digits with an optional point, at least one digit, optional exponent.
func numberLength(t string) int {
	digits, i := 0, 0
	for point := false; i < len(t); i++ {
		switch c := t[i]; {
		case c >= '0' && c <= '9':
			digits++
			continue
		case c == '.' && !point:
			point = true
			continue
		}
		break
	}
	if digits == 0 {
		return 0
	}
	return i + exponentLength(t[i:])
}

// exponentLength returns the length of "e-6" at the start of t, else 0: the
// "e" of a unit is no exponent.
func exponentLength(t string) int {
	if len(t) == 0 || (t[0] != 'e' && t[0] != 'E') {
		return 0
	}
	i := 1
	if i < len(t) && (t[i] == '+' || t[i] == '-') {
		i++
	}
	j := i
	for j < len(t) && t[j] >= '0' && t[j] <= '9' {
		j++
	}
	if j == i {
		return 0
	}
	return j
}

// normal brings a unit symbol to one spelling: "W / (m*K)" and "W/(m K)" to
// "W/(m·K)", "mm^2" and "mm²" to "mm2", "um" to "µm".
func normal(sym string) string {
	sym = strings.NewReplacer("²", "2", "³", "3", "^", "", "*", "·", "⋅", "·", "\u03bc", "µ", "℃", "°C", "º", "°").Replace(sym)
	sym = strings.Join(strings.Fields(sym), " ")
	for _, c := range []string{"/", "(", ")", "·"} {
		sym = strings.ReplaceAll(sym, " "+c, c)
		sym = strings.ReplaceAll(sym, c+" ", c)
	}
	sym = strings.ReplaceAll(sym, " ", "·")
	if strings.HasPrefix(sym, "um") {
		sym = "µ" + sym[1:]
	}
	return sym
}

// find returns the unit of the kind that sym names.
func (k Kind) find(text, number, sym string) (symbol, error) {
	in := k.info()
	for _, s := range in.symbols {
		if normal(s.text) == sym {
			return s, nil
		}
	}
	if sym == "" {
		return symbol{}, fmt.Errorf("%q has no unit; write for example %q", text, number+" "+in.symbols[0].text)
	}
	allowed := strings.Join(k.Symbols(), ", ")
	if in.symbols[0].text == "" {
		allowed = "a plain number" + strings.TrimSuffix(" or "+strings.Join(k.Symbols()[1:], ", "), " or ")
	}
	if other, ok := kindOf(sym); ok {
		return symbol{}, fmt.Errorf("%q is a %s where a %s is wanted; use %s", text, other, k, allowed)
	}
	return symbol{}, fmt.Errorf("%q has the unknown unit %q; use %s", text, sym, allowed)
}

// kindOf returns the first kind that knows a symbol.
func kindOf(sym string) (Kind, bool) {
	for _, k := range Kinds() {
		for _, s := range k.info().symbols {
			if s.text != "" && normal(s.text) == sym {
				return k, true
			}
		}
	}
	return 0, false
}

// value converts a decimal number of this unit.
func (s symbol) value(number string) (float64, error) {
	number, err := shift(number, s.power)
	if err != nil {
		return 0, err
	}
	v, err := strconv.ParseFloat(number, 64)
	if s.factor != 0 {
		v *= s.factor
	}
	v += s.offset
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("the number is too large")
	}
	return v, nil
}

// maxExponent bounds the exponent a user may write: far past float64.
const maxExponent = 100_000

// shift multiplies a decimal number by a power of ten, without rounding.
func shift(number string, power int) (string, error) {
	mantissa, exponent := number, 0
	if i := strings.IndexAny(number, "eE"); i >= 0 {
		e, err := strconv.Atoi(number[i+1:])
		if err != nil || e > maxExponent || e < -maxExponent {
			return "", fmt.Errorf("the exponent is out of range")
		}
		mantissa, exponent = number[:i], e
	}
	if exponent+power == 0 {
		return mantissa, nil
	}
	return mantissa + "e" + strconv.Itoa(exponent+power), nil
}
