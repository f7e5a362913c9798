package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/part"
)

// A print judged with its layers in another order is what a print laid in that
// order comes to: its least reserve where it bends, and its buckling factor.
func TestOrderIsJudgedAsIfLaid(t *testing.T) {
	law := statedLaw(t)
	for _, row := range []struct {
		name string
		load part.Load
		wish PlateWish
	}{
		{"bent", part.Load{Moment: geom.Point{Y: 40}}, PlateWish{}},
		{"pressed", part.Load{Force: geom.Point{X: -10}}, PlateWish{Buckling: 1}},
	} {
		row.load.Feature, row.load.Kind = 1, part.Even
		p := bare(part.Case{Name: row.name, Factor: 1, Loads: []part.Load{row.load}})
		in := Input{Part: p, Mesh: coarse(t, p), Law: law, Plastic: plainOf(t, law), Print: straightPrint(p, "xyxyxyxyxy"), Plate: row.wish}
		orders, err := NewOrders(context.Background(), in, 1.5, 1.2)
		if err != nil {
			t.Fatal(err)
		}
		for _, laid := range []string{"xyxyxyxyxy", "xxxyyyyyxx", "yyyyyxxxxx"} {
			order := make([]int, len(laid))
			for k, way := range laid {
				order[k] = int(way - 'x')
			}
			got, _, err := orders.Demand(order, 2)
			if err != nil {
				t.Fatal(err)
			}
			laidIn := in
			laidIn.Print = straightPrint(p, laid)
			r, err := Prove(context.Background(), laidIn)
			if err != nil {
				t.Fatal(err)
			}
			want := 0.0
			if row.wish.Buckling > 0 {
				want = 2 / r.Plate.Cases[0].Buckling[0]
			} else {
				for _, m := range r.Designs[0].Cases[0].Margins {
					switch m.Mode {
					case FibreTension, FibreCompression:
						want = math.Max(want, 1.5/m.Reserve)
					case Matrix, PlasticBreak:
						want = math.Max(want, 1.2/m.Reserve)
					}
				}
			}
			if math.Abs(got-want) > 1e-6*want {
				t.Errorf("%s, laid %s: demand %g, as laid %g", row.name, laid, got, want)
			}
		}
	}
}
