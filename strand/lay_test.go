//go:build lay

package strand

import (
	"context"
	"fmt"
	"math"
	"testing"

	"sinew/field"
	"sinew/geom"
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
	pr := lay(t, layupOf(r, m, 10, around(6), 1), Settings{Bottom: 1})
	for i := range pr.Layers {
		l := &pr.Layers[i]
		fmt.Printf("%+v\n", l.Stats(pr))
		ra := NewRaster(r, 0.1)
		ra.AddStrands(l.Strands, HalfBeads(l.Strands, r, 2), 0.65, true)
		fmt.Println(l.Index, l.Dropped, l.DroppedLength, l.Pockets, len(l.Beads), "gap", ra.Area(ra.Gap), "over", ra.Area(ra.Overlapped), r.Area())
	}
	fmt.Println(pr.Notes)
	r, m = holed(80, 80, 6, 96, 24)
	pr = lay(t, layupOf(r, m, 2, func(p geom.Point) float64 { return p.Norm() - 6 }, 1), Settings{})
	for i := range pr.Layers {
		l := &pr.Layers[i]
		fmt.Printf("%+v\n", l.Stats(pr))
		ra := NewRaster(r, 0.1)
		ra.AddStrands(l.Strands, HalfBeads(l.Strands, r, 2), 0.65, true)
		fmt.Println(l.Index, l.Dropped, l.DroppedLength, l.Pockets, len(l.Beads), "gap", ra.Area(ra.Gap), "over", ra.Area(ra.Overlapped), r.Area())
		for _, s := range l.Strands {
			if s.Closed {
				R := math.Sqrt(0)
				for _, p := range s.Points {
					R = max(R, math.Abs(p.Norm()-6-s.Level))
				}
				fmt.Println(s.Level, s.Points[0], s.Overlap, R, s.Length()-s.Overlap-2*math.Pi*(6+s.Level))
			}
		}
	}
}
