package field

import (
	"math"
	"testing"

	"sinew/geom"
)

// A steered family takes the direction of a strand that lies locked in its
// layers, beside it and nowhere else: the strip's own strands run straight.
func TestFieldFlowsAroundLockedStrands(t *testing.T) {
	in := input(t, plate(120, 40, 0), 2, 1)
	wave := geom.Path{}
	for x := 20.0; x <= 100; x++ {
		wave.Points = append(wave.Points, geom.Point{X: x, Y: 20 + 3*math.Sin((x-60)*math.Pi/40)})
	}
	steered := Request{Name: "along", Kind: Steered, Layers: 4, Spacing: 1}
	own := Request{Name: "own", Kind: Drawn, Paths: []geom.Path{wave}, Into: "along"}
	free := plan(t, in, Settings{Families: []Request{steered}})
	l := plan(t, in, Settings{Families: []Request{steered, own}})
	off := func(l *Layup, p geom.Point, dir float64) float64 {
		f := &l.Families[0]
		b := f.FibreAt(f.Operator([]geom.Point{p}), 0)
		return math.Abs(math.Asin(math.Sin(b.Theta-dir))) * 180 / math.Pi
	}
	worst, without := 0.0, 0.0
	for x := 25.0; x <= 95; x += 2.5 {
		u := (x - 60) * math.Pi / 40
		at, dir := geom.Point{X: x, Y: 20 + 3*math.Sin(u)}, math.Atan(3*math.Pi/40*math.Cos(u))
		worst, without = math.Max(worst, off(l, at, dir)), math.Max(without, off(free, at, dir))
	}
	t.Logf("off the locked strand by up to %.2f°, without it %.2f°", worst, without)
	if worst > 3 || without < 10 {
		t.Errorf("off the locked strand by up to %.2f°, without it %.2f°", worst, without)
	}
	for x := 15.0; x <= 105; x += 10 { // a dozen strands off it hardly notice
		for _, y := range []float64{4, 36} {
			if v := off(l, geom.Point{X: x, Y: y}, 0); v > 4 {
				t.Errorf("at (%g, %g): %.2f° off the strip's direction", x, y, v)
			}
		}
	}
	// Refined, it still does, as far as strands 2° off may be.
	fine := plan(t, in, Settings{Families: []Request{steered, own}, Refine: Refine{Steps: 20}})
	worst = 0
	for x := 25.0; x <= 95; x += 2.5 {
		u := (x - 60) * math.Pi / 40
		worst = math.Max(worst, off(fine, geom.Point{X: x, Y: 20 + 3*math.Sin(u)}, math.Atan(3*math.Pi/40*math.Cos(u))))
	}
	t.Logf("refined in %d steps: off by up to %.2f°", len(fine.Steps)-1, worst)
	if len(fine.Steps) < 5 || worst > 4 {
		t.Errorf("refined in %d steps: off by up to %.2f°", len(fine.Steps)-1, worst)
	}
	// The length asked for holds the locked strand: the phase runs through it.
	if got, want := l.Families[0].Length(), 120*40.0; math.Abs(got/want-1) > 0.02 {
		t.Errorf("fibre length %g mm, want %g", got, want)
	}
}
