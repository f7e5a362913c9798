package coupon

import (
	"fmt"
	"math"
	"strings"

	"sinew/material"
	"sinew/unit"
)

// BeadCard says what a measured bead card holds besides the results.
type BeadCard struct {
	ID, Title string
	Tow       string  // id of the tow's card
	Spacing   float64 // of the strands in the coupons, mm
	Date      string  // of the tests, YYYY-MM-DD; may be empty
	Tested    material.State
	Share     Share // which allowable becomes the strength
}

// Share chooses an allowable.
type Share int

// The allowables.
const (
	BValue Share = iota
	AValue
	MeanValue // for comparison with estimates, not for design
)

// String returns the word of the command line.
func (s Share) String() string { return [...]string{"B", "A", "mean"}[s] }

// Text returns the card as a file: moduli as means, strengths as the allowables
// asked for; what was not tested is left for the tow's and the plastic's cards
// to give. Errors: an allowable that the sample does not give.
func (c BeadCard) Text(results []Result) (string, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "schema = \"sinew-card/1\"\nkind = \"bead\"\nid = %q\ntitle = %q\nversion = \"1\"\n", c.ID, c.Title)
	fmt.Fprintf(&b, "note = \"Measured on coupons. Strengths are %s.\"\n\n[value]\n", map[Share]string{BValue: "B-values", AValue: "A-values", MeanValue: "means: not for design"}[c.Share])
	line := func(key, is, source string) {
		date := ""
		if c.Date != "" {
			date = fmt.Sprintf(", date = %q", c.Date)
		}
		fmt.Fprintf(&b, "%s = { is = %q, source = %q%s }\n", key, is, source, date)
	}
	if c.Tow != "" {
		line("tow", c.Tow, "measured: the tow that was printed")
	}
	line("temperature", unit.FormatDigits(c.Tested.Temperature, unit.Temperature, cardDigits), "measured: that of the tests")
	line("moisture", c.Tested.Moisture(), "measured: that of the coupons")
	line("spacing", unit.FormatDigits(c.Spacing, unit.Length, cardDigits), "measured: that of the coupons")
	for _, r := range results {
		v, how, err := c.strength(r)
		if err != nil {
			return "", err
		}
		source := fmt.Sprintf("measured: %s, %d coupons, %s", r.Test.Standard, r.Allowables.N, how)
		line(r.Test.Strength, unit.FormatDigits(floor(v), unit.Stress, cardDigits), source)
		if r.Test.Modulus != "" && r.Modulus > 0 {
			line(r.Test.Modulus, unit.FormatDigits(r.Modulus, unit.Stress, cardDigits), fmt.Sprintf("measured: %s, mean of %d coupons", r.Test.Standard, r.Moduli))
		}
		if r.Test.Name == "tension-0" && r.Poisson > 0 {
			line("nu12", unit.FormatDigits(r.Poisson, unit.Share, cardDigits), fmt.Sprintf("measured: %s, mean", r.Test.Standard))
		}
	}
	return b.String(), nil
}

// cardDigits of figures on a card: more than coupons tell.
const cardDigits = 4

// floor rounds a strength down to the digits of a card.
func floor(v float64) float64 {
	scale := math.Pow(10, math.Floor(math.Log10(v))-(cardDigits-1))
	return math.Floor(v/scale) * scale
}

func (c BeadCard) strength(r Result) (v float64, how string, err error) {
	f := r.Allowables.Fits[r.Allowables.Chosen]
	switch c.Share {
	case MeanValue:
		return r.Allowables.Mean, "mean", nil
	case AValue:
		v = f.A
	default:
		v = f.B
	}
	if !(v > 0) {
		return 0, "", fmt.Errorf("%s: %d coupons that spread by %.0f %% give no %s-value; test more, or find what spreads them", r.Test.Name, r.Allowables.N, 100*r.Allowables.CV, c.Share)
	}
	return v, fmt.Sprintf("%s-value, %s distribution", c.Share, f.Name), nil
}
