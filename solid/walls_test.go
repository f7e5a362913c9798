package solid_test

import (
	"fmt"
	"testing"

	"sinew/internal/shapes"
	"sinew/solid"
)

// TestWalls: the pocketed link has two flat sides and two ends over its whole
// height, two pin holes, and a pocket of two sides and two ends above its
// floor.
func TestWalls(t *testing.T) {
	slabs := slabsOf(t, shapes.PocketedLink(14, 2, 4, 0.005), 16)
	walls := solid.NameWalls(slabs)
	count := map[string]int{}
	for _, w := range walls {
		kind := "flat"
		if w.Edge.IsArc() {
			kind = "round"
		}
		count[fmt.Sprintf("%s from %g to %g", kind, w.Bottom, w.Top)]++
	}
	want := map[string]int{"flat from 0 to 4": 2, "round from 0 to 4": 4, "flat from 2 to 4": 2, "round from 2 to 4": 2}
	if fmt.Sprint(count) != fmt.Sprint(want) {
		t.Errorf("walls %v, want %v", count, want)
	}
	for k := range slabs {
		for _, r := range slabs[k].Regions {
			for i, l := range r.Loops() {
				for _, e := range l {
					if e.Label == "" {
						t.Errorf("slab %d, loop %d: an edge without a name", k, i)
					}
				}
				if len(l) == 2 && l[0].Label != l[1].Label {
					t.Errorf("a circle of two names: %s, %s", l[0].Label, l[1].Label)
				}
			}
		}
	}
	if a, b := slabs[0].Regions[0].Outer[0].Label, solid.Plan(slabs)[0].Outer[0].Label; a != b {
		t.Errorf("the plan's edge is %s, the slab's %s", b, a)
	}
}
