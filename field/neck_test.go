package field

import (
	"math"
	"slices"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/part"
)

// eyes is a wide link with its pins near the ends: few loops pass between pin
// and end.
func eyes() *part.Part {
	at := []geom.Point{{X: 12, Y: 20}, {X: 88, Y: 20}}
	p := &part.Part{
		Name: "wide link", Thickness: 3.2,
		Region: geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 100}, geom.Point{X: 100, Y: 40}, geom.Point{Y: 40})},
	}
	for i, c := range at {
		p.Region.Holes = append(p.Region.Holes, geom.Circle(c, 5).Reverse())
		p.Features = append(p.Features, part.Feature{Name: []string{"left pin", "right pin"}[i], Kind: part.Hole, Loop: i + 1, Center: c, Diameter: 10})
	}
	p.Supports = []part.Support{{Feature: 0, Kind: part.Fixed}}
	p.Cases = []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Bearing, Force: geom.Point{X: 1000}}}}}
	return p
}

// TestNeckIsTrueOfWhatIsLaid: where the narrowest section does not pass what is
// asked, several lengths are drawn and judged and the goal chooses; the strands
// that the report counts are those of the phase that is laid, and none lies over
// another.
func TestNeckIsTrueOfWhatIsLaid(t *testing.T) {
	run := func(goal Goal, workers int) *Layup {
		in := input(t, eyes(), 3, workers)
		s := Settings{Families: []Request{{Kind: Steered, Layers: 4, Spacing: 1}}, Guess: "loops", Draw: asPlanned(&in), Refine: Refine{Goal: goal}, Workers: workers}
		return plan(t, in, s)
	}
	stiff := run(Stiffest, 1)
	if len(stiff.Neck) != 1 {
		t.Fatalf("%d necks, want 1: %v", len(stiff.Neck), stiff.Notes)
	}
	n := stiff.Neck[0]
	f := &stiff.Families[0]
	if math.Abs(n.Width-7) > 0.1 || n.Fits != 10 {
		t.Errorf("a neck of %g mm where %d fit, want 7 mm and 10", n.Width, n.Fits)
	}
	between := f.TiedPhases[len(f.TiedPhases)-1] - f.TiedPhases[0]
	if n.Run != int(math.Round(between)) || n.Run > n.Fits || n.Need <= n.Run {
		t.Errorf("%d strands run, %d fit, %d would be needed; between the edges lie %g", n.Run, n.Fits, n.Need, between)
	}
	if math.Abs(n.Given-f.Length()) > 0.01*n.Given {
		t.Errorf("%g mm said to be laid, the phase holds %g", n.Given, f.Length())
	}
	if !strings.Contains(n.String(), "tried as printed") || len(n.Tried) != 3 {
		t.Errorf("tried %+v: %s", n.Tried, n)
	}
	best := slices.MinFunc(n.Tried, func(a, b DrawnTrial) int { return int(math.Copysign(1, a.Worth-b.Worth)) })
	if math.Abs(best.Length-n.Given) > 1e-6*n.Given {
		t.Errorf("%g mm laid, %g mm was best", n.Given, best.Length)
	}
	// More passes than the first guess says, and stiffness takes more.
	least := slices.MinFunc(n.Tried, func(a, b DrawnTrial) int { return int(math.Copysign(1, a.Length-b.Length)) })
	if n.Given < 1.1*least.Length {
		t.Errorf("%g mm laid for stiffness, %g mm pass as the first guess runs", n.Given, least.Length)
	}
	over, area := 0.0, 0.0
	in := input(t, eyes(), 3, 1)
	op := f.Operator(in.System.Points())
	for i, w := range in.System.Weights() {
		area += w
		over += w * math.Max(0, f.FibreAt(op, i).Rho/in.Stack.Law.RhoMax()-1)
	}
	if over > 0.01*area {
		t.Errorf("beads overlap by %.2f %% of the area", 100*over/area)
	}
	if again := run(Stiffest, 3); !slices.Equal(again.Families[0].Phase, f.Phase) {
		t.Error("three workers find another phase than one")
	}
}
