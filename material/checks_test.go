package material

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"sinew/internal/golden"
)

const degree = math.Pi / 180

// reading says how the published figure reached us.
type reading string

const (
	seen    reading = "read in the source"
	quoted  reading = "quoted by a second source"
	memory  reading = "from memory of the source"
	derived reading = "formula of the source, evaluated apart"
)

// check is one comparison with the published record.
type check struct {
	what      string
	source    string
	reading   reading
	published string // as printed, so that its digits are known
	ours      float64
	// share is the allowed difference as a share of the figure; 0 asks for
	// agreement to the last printed digit; see tolerance.
	share float64
	why   string // of a share
}

// tolerance is what the printed digits allow: half a unit of the last one,
// widened by a sliver for a figure that lies on the edge of rounding.
func (c check) tolerance() (float64, error) {
	v, err := strconv.ParseFloat(c.published, 64)
	if err != nil {
		return 0, err
	}
	if c.share > 0 {
		return c.share * math.Abs(v), nil
	}
	mantissa, exponent, _ := strings.Cut(strings.ToLower(c.published), "e")
	digits := 0
	if _, tail, ok := strings.Cut(mantissa, "."); ok {
		digits = len(tail)
	}
	e, _ := strconv.Atoi(exponent)
	return 0.51 * math.Pow(10, float64(e-digits)), nil
}

// TestPublishedRecord holds every check to its tolerance and writes the table
// of docs/checks.md.
func TestPublishedRecord(t *testing.T) {
	list := publishedRecord(t)
	sources := map[string]bool{}
	for _, c := range list {
		tol, err := c.tolerance()
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		want, _ := strconv.ParseFloat(c.published, 64)
		if !(math.Abs(c.ours-want) <= tol) {
			t.Errorf("%s (%s): ours %.8g, published %s, allowed %.3g", c.what, c.source, c.ours, c.published, tol)
		}
		sources[work(c.source)] = true
	}
	if len(list) < 60 || len(sources) < 15 {
		t.Errorf("%d checks against %d sources, want at least 60 and 15", len(list), len(sources))
	}
	golden.Compare(t, "../../docs/checks.md", []byte(checksPage(list, len(sources))))
}

// work is the publication without page or table.
func work(source string) string {
	name, _, _ := strings.Cut(source, ";")
	return name
}

func checksPage(list []check, sources int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Checks against the published record\n\n")
	fmt.Fprintf(&b, "This page is written by the tests of package `material` (`go test ./material -run TestPublishedRecord -update`).\n")
	fmt.Fprintf(&b, "It holds %d checks against %d published sources. A figure without a stated allowance must agree to half a unit\n", len(list), sources)
	fmt.Fprintf(&b, "of its last printed digit. Stress and modulus are MPa and lengths mm where no unit stands. How a figure reached\n")
	fmt.Fprintf(&b, "us is told beside it: what was not read in the source itself is a lead, confirmed by the same formula worked apart.\n")
	last := ""
	for _, c := range list {
		if w := work(c.source); w != last {
			fmt.Fprintf(&b, "\n## %s\n\n| check | place | how read | published | ours | difference | allowed |\n|---|---|---|---|---|---|---|\n", w)
			last = w
		}
		_, place, _ := strings.Cut(c.source, ";")
		want, _ := strconv.ParseFloat(c.published, 64)
		allowed := "its digits"
		if c.share > 0 {
			allowed = fmt.Sprintf("%.3g %%: %s", 100*c.share, c.why)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s | %s |\n", c.what, strings.TrimSpace(place), c.reading, c.published,
			strconv.FormatFloat(c.ours, 'g', 6, 64), difference(c.ours, want), allowed)
	}
	return b.String()
}

func difference(ours, want float64) string {
	if want == 0 {
		return fmt.Sprintf("%.1g", ours)
	}
	d := 100 * (ours - want) / want
	if math.Abs(d) < 0.0005 {
		return "0.000 %"
	}
	return fmt.Sprintf("%+.3f %%", d)
}
