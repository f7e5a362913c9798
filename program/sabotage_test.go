package program

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"sinew/strand"
)

// sabotage changes one line of a program and names what must be found there.
type sabotage struct {
	name  string
	find  string // pattern of the line
	nth   int    // which of the lines that match, from 0; -1: the last
	to    string // its replacement; "-" deletes the line
	id    string // of the finding; empty: a syntax error
	later bool   // found at a later line, where the fault shows
}

func sabotages() []sabotage {
	return []sabotage{
		{"nozzle too hot", `^M92 P2 S260`, 0, "M92 P2 S320", "too-hot", false},
		{"nozzle too hot when waited for", `^M93 P2 S260`, 0, "M93 P2 S301", "too-hot", false},
		{"bed too hot", `^M90 S80`, 0, "M90 S180", "bed-too-hot", false},
		{"never heated", `^M93 P2 S260`, 0, "-", "cold", true},
		{"heated to cold", `^M93 P1 S260`, 0, "M93 P1 S26", "cold", true},
		{"missing cut", `^M96`, 0, "-", "no-cut", true},
		{"missing last cut", `^M96`, -1, "-", "no-cut", true},
		{"cut twice", `^M96`, 1, "M96 L45\nM96 L45", "cut-twice", true},
		{"cut of nothing", `^M93 P2`, 0, "M93 P2 S260\nM96 L45", "cut-without-strand", true},
		{"wrong tool", `^T2 M6`, 0, "T1 M6", "wrong-tool", true},
		{"wrong tool, at its own line", `^T2 M6`, 0, "T1 M6", "swap-to-itself", false},
		{"unknown tool", `^T2 M6`, 0, "T7 M6", "unknown-tool", false},
		{"no swap", `^T2 M6`, 0, "-", "wrong-tool", true},
		{"no swap back", `^T1 M6`, 1, "-", "plastic-without-tow", true},
		{"tow not fed down", `^M95`, 0, "-", "plastic-without-tow", true},
		{"too little tow fed down", `^M95`, 0, "M95 L30 F720", "short-restart", false},
		{"tow fed down too fast", `^M95`, 0, "M95 L46 F9000", "too-fast", false},
		{"restart in a strand", `^M96`, 0, "M95 L46 F720", "no-cut", false},
		{"travel too fast", `^G0 X\S+ Y\S+ F10800`, 1, "G0 X100 Y100 F99999", "too-fast", false},
		{"wall too fast", `^G1 X\S+ E\S+ F1200`, 0, "G1 X223 E6.3 F12000", "too-fast", false},
		{"anchor too fast", `^G1 .*F150$`, 0, "F600", "fast-anchor", false},
		{"feed zero", `^G1 .*F150$`, 0, "F0", "feed-zero", false},
		{"feed negative", `^G1 .*F150$`, 1, "F-150", "feed-zero", false},
		{"ring too fast", `^G1 .*F49\d$`, 0, "F1200", "fast-bend", false},
		{"off the bed", `^G1 X\S+ E\S+ F1200`, 0, "G1 X333 E6.3 F1200", "off-bed", false},
		{"off the bed, below zero", `^G1 Y`, 0, "G1 Y-4 E1", "off-bed", false},
		{"into the bed", `^G0 Z0.2 F900`, 0, "G0 Z-0.2 F900", "off-bed", false},
		{"over the reach", `^G0 Z`, 3, "G0 Z500 F900", "off-bed", false},
		{"lifted layer", `^G0 Z0.52`, 0, "G0 Z0.92", "lifted", true},
		{"lifted by little", `^G0 Z0.52`, 0, "G0 Z0.55", "lifted", true},
		{"lifted within a strand", `^G1 .*F150$`, 0, "+ Z0.8", "lifted", false},
		{"jump within a tail", `^G1 .*F600$`, 0, "G0 X100 Y100", "cut-misplaced", false},
		{"jump within a strand", `^G1 X\S+( Y\S+)? E0.02\S+$`, 0, "G0 X100 Y100", "no-cut", false},
		{"strand ends early", `^M96`, 0, "M96 L45\nG0 Z1.2 F900", "cut-misplaced", true},
		{"strand shorter than the limit", `^G1 X\S+( Y\S+)? E0.02\S+$`, 0, "M96 L45\nG0 Z1.2 F900", "short-strand", true},
		{"a crossing", `^G1 X105\S* Y\S+ E`, 2, "G1 X105 Y110 E0.04", "crossing", false},
		{"a crossing with a strand to come", `^G1 X105\S* Y\S+ E`, 0, "G1 X105 Y119 E0.04", "crossing", true},
		{"no plastic fed in a wall", `^G1 Y\S+ E`, 0, "G1 Y148.374", "dry-print", false},
		{"plastic at rest", `^G0 Z0.2 F900`, 0, "G0 Z0.2 F900\nG1 E3 F600", "blob", true},
		{"plastic not brought forward", `^G1 E0.8`, 0, "-", "drawn-back", true},
		{"plastic drawn back far", `^G1 E-0.8`, 0, "G1 E-8 F1800", "drawn-back", false},
		{"plastic drawn back in a strand", `^G1 .*F150$`, 0, "G1 X103 Y113 E-0.5 F150", "drawn-back", false},
		{"ten times the plastic", `^G1 Y\S+ E`, 0, "G1 Y148.374 E18.3", "bead-section", false},
		{"plastic on a travel", `^G0 X\S+ Y\S+ F10800`, 1, "G0 X100 Y100 E3 F10800", "feeds-on-travel", false},
		{"tool dropped anywhere", `^G0 X10 Y250`, 0, "-", "not-parked", true},
		{"no start", `^G71`, 0, "-", "no-start", true},
		{"no end", `^M97`, 0, "-", "no-end", true},
		{"goes on after its end", `^M30`, 0, "M30\nG0 X10 F600", "after-end", true},
		{"unknown word", `^M96`, 0, "M99 L45", "", false},
		{"unknown letter in a move", `^G1 Y`, 0, "G1 Y100 H3", "", false},
		{"a letter lost its number", `^G1 Y`, 0, "G1 Y E1", "", false},
	}
}

func TestSabotage(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	pr := samplePrint(c, 0)
	pr.Layers[2].Strands = []strand.Strand{ring(middle(pr), 10.7, 0.75), ring(middle(pr), 9.9, 0.75)}
	text, _ := written(t, pr, c, settings())
	if rb, err := Read(strings.NewReader(string(text)), c); err != nil || len(rb.Findings) > 0 {
		t.Fatalf("before any change: %v, %v", err, rb.Findings)
	}
	for _, row := range sabotages() {
		t.Run(row.name, func(t *testing.T) {
			changed, at := row.apply(t, string(text))
			rb, err := Read(strings.NewReader(changed), c)
			if row.id == "" {
				var se *SyntaxError
				if !errors.As(err, &se) || se.Line != at {
					t.Fatalf("error %v, want one at line %d", err, at)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range rb.Findings {
				if f.ID == row.id && (f.Line == at || row.later && f.Line > at) {
					return
				}
			}
			t.Errorf("changed line %d, want %s, found %v", at, row.id, rb.Findings[:min(4, len(rb.Findings))])
		})
	}
}

// apply changes the line and returns its number.
func (s sabotage) apply(t *testing.T, text string) (string, int) {
	lines := strings.Split(text, "\n")
	re := regexp.MustCompile(s.find)
	var hits []int
	for i, l := range lines {
		if re.MatchString(l) {
			hits = append(hits, i)
		}
	}
	k := s.nth
	if k < 0 {
		k = len(hits) - 1
	}
	if k >= len(hits) {
		t.Fatalf("%d lines match %s", len(hits), s.find)
	}
	i := hits[k]
	switch {
	case s.to == "-":
		lines = append(lines[:i], lines[i+1:]...)
	case strings.HasPrefix(s.to, "F"):
		lines[i] = regexp.MustCompile(`F\S+$`).ReplaceAllString(lines[i], s.to)
	case strings.HasPrefix(s.to, "+"):
		lines[i] += s.to[1:]
	default:
		lines[i] = s.to
	}
	return strings.Join(lines, "\n"), i + 1
}

// A change that breaks no rule of the card is a difference from the plan.
func TestCompareFindsChanges(t *testing.T) {
	c, s := builtIn(t, "twin-nozzle"), settings()
	pr := samplePrint(c, 0)
	text, _ := written(t, pr, c, s)
	rows := []struct{ name, find, to, want string }{
		{"more plastic in a strand", `(?m)^(G1 \S+ \S+ )E0\.02\d+`, "${1}E0.9", "plastic from the composite nozzle"},
		{"less plastic in a wall", `(?m)^(G1 Y\S+ )E1.83341`, "${1}E0.9", "plastic from the plastic nozzle"},
		{"a strand moved", `(?m)^(G1 X\S+ )Y`, "${1}Y1", "lies"},
	}
	for _, row := range rows {
		re := regexp.MustCompile(row.find)
		at := re.FindStringSubmatchIndex(string(text))
		if at == nil {
			t.Errorf("%s: nothing to change", row.name)
			continue
		}
		var b []byte
		b = append(b, text[:at[0]]...)
		b = re.Expand(b, []byte(row.to), text, at)
		b = append(b, text[at[1]:]...)
		if row.name == "a strand moved" {
			b = []byte(moveStrand(string(text)))
		}
		rb, err := Read(strings.NewReader(string(b)), c)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(Compare(pr, rb, c, s).Differences, "\n"); !strings.Contains(got, row.want) {
			t.Errorf("%s: differences %q", row.name, got)
		}
	}
	pr.Layers[1].Strands = pr.Layers[1].Strands[1:]
	rb, _ := Read(strings.NewReader(string(text)), c)
	if got := Compare(pr, rb, c, s); got.Agrees() || !strings.Contains(got.Differences[0], "strands, planned") {
		t.Errorf("a strand too many: %q", got.Differences)
	}
}

// moveStrand moves every x of the first strand by 0.05 mm.
func moveStrand(text string) string {
	lines := strings.Split(text, "\n")
	in := false
	for i, l := range lines {
		if strings.HasPrefix(l, "M95") {
			in = true
		}
		if in && strings.HasPrefix(l, "G0") {
			break
		}
		w := strings.Fields(l)
		for k := range w {
			if in && w[k][0] == 'X' {
				x, _ := strconv.ParseFloat(w[k][1:], 64)
				w[k] = "X" + strconv.FormatFloat(x+0.05, 'f', 3, 64)
			}
		}
		lines[i] = strings.Join(w, " ")
	}
	return strings.Join(lines, "\n")
}
