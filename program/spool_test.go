package program

import (
	"bytes"
	"strings"
	"testing"
)

// Between two changes of a spool no more is used than it holds, strands are
// never cut by a change, and the program stops once for each.
func TestSpoolChanges(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	pr := samplePrint(c, 4)
	_, plain := written(t, pr, c, settings())
	if len(plain.SpoolChanges) != 0 {
		t.Fatalf("spools of unknown size change: %v", plain.SpoolChanges)
	}
	for _, row := range []struct {
		name   string
		spools Spools
		tow    bool
		least  int
	}{
		{"tow nearly used up", Spools{TowLeft: 300, Tow: 50_000}, true, 1},
		{"short spools of tow", Spools{Tow: 600}, true, int(plain.TowUsed / 600)},
		{"little plastic left", Spools{PlasticLeft: 0.05, Plastic: 750}, false, 1},
		{"enough of all", Spools{TowLeft: 1e6, PlasticLeft: 1e3}, false, 0},
	} {
		s := settings()
		s.Spools = row.spools
		text, sum := written(t, pr, c, s)
		rb, err := Read(bytes.NewReader(text), c)
		if err != nil || len(rb.Findings) > 0 {
			t.Fatalf("%s: %v, %v", row.name, err, rb.Findings)
		}
		if cmp := Compare(pr, rb, c, s); !cmp.Agrees() {
			t.Errorf("%s: %v", row.name, cmp.Differences)
		}
		n := len(sum.SpoolChanges)
		if rb.Pauses != n || strings.Count(string(text), "\nM0\n") != n || n < row.least || row.least == 0 && n > 0 {
			t.Errorf("%s: %d changes, %d pauses, at least %d wanted", row.name, n, rb.Pauses, row.least)
		}
		if row.tow {
			checkTow(t, row.name, row.spools, text, rb, c.CutterDistance)
		}
	}
}

// checkTow adds up, from the text alone, what lies between two stops, and holds
// it to what the spool gives without the tow between cutter and tip.
func checkTow(t *testing.T, name string, s Spools, text []byte, rb *Readback, cutter float64) {
	t.Helper()
	var stops []int
	for i, l := range strings.Split(string(text), "\n") {
		if l == "M0" {
			stops = append(stops, i+1)
		}
	}
	left, full := leftAndFull(s.TowLeft, s.Tow, 1)
	for i := range rb.AllStrands {
		st := &rb.AllStrands[i]
		if len(stops) > 0 && st.Line > stops[0] {
			left, stops = full, stops[1:]
		}
		if left -= st.Length + 1; left < cutter-1e-2 { // 46 mm are fed down for the 45 mm above the tip
			t.Fatalf("%s: at the strand of line %d the spool is short by %v mm", name, st.Line, cutter-left)
		}
	}
}

func TestSpoolTooShort(t *testing.T) {
	c, s := builtIn(t, "twin-nozzle"), settings()
	s.Spools.Tow = 100
	var b bytes.Buffer
	if _, err := Write(&b, samplePrint(c, 4), c, s); err == nil || !strings.Contains(err.Error(), "put on a longer spool") {
		t.Errorf("error %v", err)
	}
}
