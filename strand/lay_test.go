//go:build lay

package strand

import (
	"context"
	"fmt"
	"math"
	"testing"

	"sinew/field"
)

func lay(t testing.TB, l *field.Layup, s Settings) *Print {
	t.Helper()
	pr, err := Lay(context.Background(), l, card(), s)
	if err != nil {
		t.Fatal(err)
	}
	return pr
}

func TestDebug(t *testing.T) {
	r, m := holed(150, 36, 6, 96, 24)
	pr := lay(t, layupOf(r, m, 2, around(6), 1), Settings{Bare: true})
	for _, l := range pr.Layers {
		lo, hi, short, rad := 9., 0., 1e9, 1e9
		total := 0.
		for _, s := range l.Strands {
			for _, w := range s.Width {
				lo, hi = math.Min(lo, w), math.Max(hi, w)
			}
			short = math.Min(short, s.Length())
			total += s.Length()
			for _, k := range bends(s.Points, s.Closed, 0.5) {
				rad = math.Min(rad, 1/math.Abs(k))
			}
		}
		fmt.Println(l.Index, len(l.Strands), l.Dropped, l.DroppedLength, "w", lo, hi, "short", short, "R", rad, "len", total)
		for _, s := range l.Strands {
			fmt.Printf("  %.2f %v %v %d %d %.1f\n", s.Level, s.Start, s.End, s.StartLoop, s.EndLoop, s.Length())
		}
	}
	fmt.Println(pr.Notes)
}
