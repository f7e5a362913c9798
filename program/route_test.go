package program

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/strand"
)

func TestWaysInside(t *testing.T) {
	plate := shapes.Plate(100, 40)
	plate.Holes = []geom.Loop{geom.Circle(geom.Point{X: 50, Y: 20}, 10).Reverse()}
	r := newRoutes([]geom.Region{plate}, 0.6)
	frame := newRoutes([]geom.Region{shapes.CFrame()}, 0.6)
	for _, row := range []struct {
		name    string
		r       *routes
		a, b    geom.Point
		ok      bool
		corners int     // at least
		longest float64 // against the straight way
	}{
		{"straight", r, geom.Point{X: 5, Y: 5}, geom.Point{X: 90, Y: 6}, true, 1, 1},
		{"round the hole", r, geom.Point{X: 30, Y: 21}, geom.Point{X: 70, Y: 21}, true, 3, 1.3},
		{"from beside the part", r, geom.Point{X: -5, Y: 5}, geom.Point{X: 90, Y: 6}, false, 0, 0},
		{"into the hole", r, geom.Point{X: 5, Y: 5}, geom.Point{X: 50, Y: 20}, false, 0, 0},
		{"over the opening of a frame", frame, geom.Point{X: 98, Y: 28}, geom.Point{X: 98, Y: 92}, false, 0, 0},
	} {
		way, ok := row.r.way(row.a, row.b)
		if ok != row.ok || len(way) < row.corners {
			t.Errorf("%s: %v, %v", row.name, way, ok)
			continue
		}
		if !ok {
			continue
		}
		length := (geom.Path{Points: append([]geom.Point{row.a}, way...)}).Length()
		if straight := row.a.Dist(row.b); way[len(way)-1] != row.b || length > row.longest*straight+1e-9 {
			t.Errorf("%s: %.2f mm for %.2f mm, to %v", row.name, length, straight, way[len(way)-1])
		}
		for at, i := row.a, 0; i < len(way); at, i = way[i], i+1 {
			for k := range 101 {
				if p := at.Lerp(way[i], float64(k)/100); !plate.Contains(p) {
					t.Errorf("%s: leaves the part at %v", row.name, p)
				}
			}
		}
	}
}

// The plastic nozzle travels with its plastic forward only inside the layer,
// also of copies that are turned.
func TestTravelsWithPlasticForwardKeepInside(t *testing.T) {
	c, s := builtIn(t, "twin-nozzle"), settings()
	plate := shapes.Plate(100, 40)
	plate.Holes = []geom.Loop{geom.Circle(geom.Point{X: 50, Y: 20}, 10).Reverse()}
	pr := &strand.Print{Region: plate}
	l := strand.Layer{Height: c.PlasticHeight, Z: c.PlasticHeight, Composite: -1, Family: -1}
	for k := range 12 {
		x, y := 10+70*float64(k%2), 4+3*float64(k)
		l.Beads = append(l.Beads, strand.Bead{Width: c.WallWidth, Points: []geom.Point{{X: x, Y: y}, {X: x + 10, Y: y}}})
	}
	pr.Layers = []strand.Layer{l}
	alone := s.place(pr, c)
	turned := []Placement{{1, geom.Point{X: 100, Y: 100}}, {2, geom.Point{X: 250, Y: 200}}}
	for name, row := range map[string]struct {
		pr     *strand.Print
		places []Placement
		jumps  int // from copy to copy, drawn back
	}{
		"one":    {pr, []Placement{{0, alone}}, 0},
		"copies": {Copies(pr, turned), turned, 1},
	} {
		set := s
		set.Placed, set.Place = name == "copies", geom.Point{}
		text, _ := written(t, row.pr, c, set)
		drawn := strings.Count(string(text), "G1 E-0.8")
		if drawn != row.jumps+1 { // and once at the end
			t.Errorf("%s: drawn back %d times", name, drawn)
		}
		inside := func(p geom.Point) bool {
			for _, place := range row.places {
				if plate.Map(place.Place).Contains(p) {
					return true
				}
			}
			return false
		}
		at, back, printed := geom.Point{X: math.NaN()}, true, 0
		for n, line := range strings.Split(string(text), "\n") {
			to, e := at, 0.0
			for _, w := range strings.Fields(line) {
				v, err := strconv.ParseFloat(w[1:], 64)
				switch {
				case err != nil:
				case w[0] == 'X':
					to.X = v
				case w[0] == 'Y':
					to.Y = v
				case w[0] == 'E':
					e = v
				}
			}
			if e != 0 && to == at {
				back = e < 0
			} else if e > 0 {
				back, printed = false, printed+1
			}
			if strings.HasPrefix(line, "G0") && !back && to != at {
				for k := range 51 {
					if p := at.Lerp(to, float64(k)/50); !inside(p) {
						t.Fatalf("%s: line %d: with plastic forward at %v, off the part", name, n+1, p)
					}
				}
			}
			at = to
		}
		if printed == 0 {
			t.Errorf("%s: nothing was printed", name)
		}
	}
}
