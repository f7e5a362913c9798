package field

import (
	"context"
	"slices"
	"strings"
	"testing"
)

// A stated order is laid as stated and told where it is not symmetric; one that
// does not hold the layers asked for is refused.
func TestStatedOrder(t *testing.T) {
	in := input(t, plate(60, 20, 0), 6, 1)
	families := []Request{{Name: "along", Kind: Straight, Layers: 4}, {Name: "across", Kind: Straight, Angle: 1.57, Layers: 2}}
	for _, c := range []struct {
		order []int
		warps bool
		want  string // of the error
	}{
		{nil, false, ""},
		{[]int{1, 0, 0, 0, 0, 1}, false, ""},
		{[]int{0, 0, 0, 0, 1, 1}, true, ""},
		{[]int{0, 0, 0, 1, 1}, false, "along): the order holds it 3 times, asked for are 4"},
		{[]int{0, 0, 0, 0, 1, 2}, false, "layer 6 of the order: there is no family 2"},
	} {
		l, err := Plan(context.Background(), in, Settings{Families: families, Order: c.order})
		if c.want != "" {
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v: %v, want %q", c.order, err, c.want)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for _, y := range l.Layers {
			got = append(got, y.Family)
		}
		if c.order != nil && !slices.Equal(got, c.order) || c.order == nil && !isSymmetric(got) {
			t.Errorf("asked for %v, laid %v", c.order, got)
		}
		if told := slices.ContainsFunc(l.Notes, func(s string) bool { return strings.Contains(s, "not symmetric") }); told != c.warps {
			t.Errorf("%v: notes %q", c.order, l.Notes)
		}
	}
}
