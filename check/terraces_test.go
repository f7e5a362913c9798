package check

import (
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/part"
)

func block(x, y, w, h float64) geom.Region {
	return geom.Region{Outer: geom.Polyline(geom.Point{X: x, Y: y}, geom.Point{X: x + w, Y: y}, geom.Point{X: x + w, Y: y + h}, geom.Point{X: x, Y: y + h})}
}

func TestTerraces(t *testing.T) {
	wide, boss := block(0, 0, 100, 40), block(10, 10, 20, 20)
	at := func(list ...part.Slab) *part.Part {
		return &part.Part{Region: wide, Thickness: list[len(list)-1].Top, Slabs: list}
	}
	slab := func(bottom, top float64, r ...geom.Region) part.Slab {
		return part.Slab{Bottom: bottom, Top: top, Regions: r}
	}
	var stairs []part.Slab
	for k := range 9 {
		stairs = append(stairs, slab(float64(k), float64(k+1), block(0, 0, 100-10*float64(k), 40)))
	}
	for name, c := range map[string]struct {
		p    *part.Part
		want map[string]string // id: text
	}{
		"a plate":         {&part.Part{Region: wide, Thickness: 3}, nil},
		"a boss":          {at(slab(0, 3, wide), slab(3, 5, boss)), map[string]string{"offset-plane": "steps by 1 mm"}},
		"upside down":     {at(slab(0, 2, boss), slab(2, 5, wide)), map[string]string{"offset-plane": "steps by 1 mm", "overhang": "3600 mm² of the layer at z = 2 mm"}},
		"on both sides":   {at(slab(0, 2, boss), slab(2, 5, wide), slab(5, 7, boss)), map[string]string{"overhang": "3600 mm²"}},
		"nine outlines":   {at(stairs...), map[string]string{"not-plate-like": "9 outlines", "offset-plane": "steps by 0.5 mm"}},
		"a pocket":        {at(slab(0, 3, wide), slab(3, 5, geom.Region{Outer: wide.Outer, Holes: []geom.Loop{boss.Outer.Reverse()}})), map[string]string{"offset-plane": "steps by 1 mm"}},
		"rounding beside": {at(slab(0, 3, wide), slab(3, 5, block(0, 0, 100.005, 40))), nil},
	} {
		found := map[string]Finding{}
		for _, f := range Run(Input{Part: c.p}) {
			found[f.ID] = f
		}
		if len(found) != len(c.want) {
			t.Errorf("%s: %+v", name, found)
		}
		for id, text := range c.want {
			if f := found[id]; !strings.Contains(f.What, text) {
				t.Errorf("%s: %s is %q, want %q", name, id, f.What, text)
			}
		}
	}
	f := Run(Input{Part: at(slab(0, 2, boss), slab(2, 5, wide))})[0]
	if f.ID != "overhang" || f.Severity != Stop || math.Abs(f.X-50) > 1 {
		t.Errorf("gravest first: %+v", f)
	}
}
