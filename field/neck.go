package field

import (
	"fmt"
	"math"

	"sinew/geom"
)

// Neck reports that less tow is laid than was asked for, for the sake of the
// narrowest section between two boundaries that no strand may cut. Strands are
// counted in the phase that is laid.
type Neck struct {
	Family       int
	Asked, Given float64      // fibre length of one layer, mm
	A, B         geom.Point   // ends of the narrowest section
	Width        float64      // of the section, mm
	Run          int          // strands that run through it
	Need, Fits   int          // those that the asked length would send through it, and that fit
	OverPacked   float64      // share of the area where the asked length would lay beads over each other
	Tried        []DrawnTrial // lengths that were drawn and judged
}

// String says it in words.
func (n Neck) String() string {
	text := fmt.Sprintf("of %.0f mm of fibre a layer %.0f mm are laid: at the narrowest, %.1f mm from %s to %s, %d strands run and %d fit; all of it would send %d through and over-pack %.0f %% of the area",
		n.Asked, n.Given, n.Width, inWords(n.A), inWords(n.B), n.Run, n.Fits, n.Need, 100*n.OverPacked)
	if len(n.Tried) > 1 {
		text += "; tried as printed:"
		for i, t := range n.Tried {
			text += fmt.Sprintf("%s %.0f mm", [2]string{"", ","}[min(i, 1)], t.Length)
		}
		text += ", the best kept"
	}
	return text
}

// inWords writes a place to a tenth of a millimetre, without a zero's sign.
func inWords(p geom.Point) string {
	tenths := func(v float64) float64 { return math.Round(10*v)/10 + 0 }
	return fmt.Sprintf("(%.1f, %.1f)", tenths(p.X), tenths(p.Y))
}

// necks holds how many strands pass between the tied groups of a guess.
type necks struct {
	caps    [][]int
	between [][]section
	asked   float64 // length of one layer, mm
	length  float64 // the greatest that passes as the reference phase runs
}

// section is the narrowest between two tied groups.
type section struct {
	a, b  geom.Point
	width float64 // mm
}

// strandSlack is by how much, as a share, a section may fall short of a whole
// number of least spacings: rounding of coordinates.
const strandSlack = 1e-6

// findNecks makes a cut test: between two tied boundaries a distance d apart
// no more than d·rhoMax strands can pass.
func (f *fitter) findNecks(g *guess, asked float64) *necks {
	n := &necks{asked: asked, caps: make([][]int, len(g.groups)), between: make([][]section, len(g.groups))}
	rho := f.in.Stack.Law.RhoMax()
	for i := range g.groups {
		n.caps[i], n.between[i] = make([]int, len(g.groups)), make([]section, len(g.groups))
		for j := range i {
			p, q, d := f.narrowest(g.groups[i], g.groups[j])
			fits := int(d * rho * (1 + strandSlack))
			n.caps[i][j], n.caps[j][i] = fits, fits
			n.between[i][j] = section{p, q, d}
		}
	}
	_, _, ratio := n.tightest(g, g.ref)
	n.length = math.Min(asked, ratio*f.space.length(f.space.gradients(g.ref)))
	return n
}

// tightest finds the two groups between which a phase runs nearest to what
// fits, or farthest beyond it, and the ratio of what fits to what runs.
func (n *necks) tightest(g *guess, phase []float64) (i, j int, ratio float64) {
	ratio = math.Inf(1)
	for a := range g.groups {
		for b := range a {
			run := math.Abs(phase[g.groups[a][0]] - phase[g.groups[b][0]])
			if r := (float64(n.caps[a][b]) + neckSlack) / run; run > 0 && r < ratio {
				i, j, ratio = a, b, r
			}
		}
	}
	return i, j, ratio
}

// neckSlack is the part of a strand by which a phase may exceed what fits: the
// integer fit takes it away.
const neckSlack = 0.5

// narrowest returns the nearest nodes of two groups.
func (f *fitter) narrowest(a, b []int32) (p, q geom.Point, d float64) {
	pts := make([]geom.Point, len(b))
	for i, n := range b {
		pts[i] = f.space.m.Nodes[n]
	}
	grid := geom.NewGrid(pts)
	d = math.Inf(1)
	for _, n := range a {
		at := f.space.m.Nodes[n]
		if i, e := grid.Nearest(at); e < d {
			p, q, d = at, pts[i], e
		}
	}
	return p, q, d
}

// passing is the share of an attempt's length that passes as its phase runs.
func (a *attempt) passing() float64 {
	_, _, ratio := a.guess.necks.tightest(a.guess, a.phase)
	return math.Min(1, ratio)
}

// neckShare of the asked length is laid where no neck stands in the way: whole
// strands and the fit of densities take the rest.
const neckShare = 0.95

// report says what necks did to the asked length; nil when it is laid.
func (n *necks) report(a *attempt, tried []DrawnTrial) *Neck {
	given := a.f.space.length(a.slope)
	if given >= neckShare*n.asked || len(a.guess.groups) < 2 {
		return nil
	}
	i, j, _ := n.tightest(a.guess, a.phase)
	over, by := 0.0, n.asked/given
	for q, g := range a.slope {
		if by*g.Norm() > a.f.in.Stack.Law.RhoMax() {
			over += a.f.space.weight[q]
		}
	}
	run := math.Abs(a.phase[a.guess.groups[i][0]] - a.phase[a.guess.groups[j][0]])
	at := n.between[i][j]
	return &Neck{
		Family: a.family, Asked: n.asked, Given: given, A: at.a, B: at.b, Width: at.width,
		Run: int(math.Round(run)), Need: int(math.Round(by * run)), Fits: n.caps[i][j], OverPacked: over / a.f.space.area(),
		Tried: tried,
	}
}
