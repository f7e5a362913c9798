package field

import (
	"fmt"
	"math"

	"sinew/geom"
)

// Neck reports a tow length that cannot pass the narrowest section between two
// boundaries that no strand may cut.
type Neck struct {
	Family       int
	Asked, Given float64    // fibre length of one layer, mm
	A, B         geom.Point // ends of the narrowest section
	Width        float64    // of the section, mm
	Need, Fits   int        // strands that the asked length would send through it, and that fit
	OverPacked   float64    // share of the area where the asked length would lay beads over each other
}

// String says it in words.
func (n Neck) String() string {
	return fmt.Sprintf("%.0f mm of fibre a layer would send %d strands through the %.4g mm between (%.4g, %.4g) and (%.4g, %.4g), where %d fit, and over-pack %.0f %% of the area: %.0f mm are laid",
		n.Asked, n.Need, n.Width, n.A.X, n.A.Y, n.B.X, n.B.Y, n.Fits, 100*n.OverPacked, n.Given)
}

// necks holds the narrowest sections between the tied groups of a guess.
type necks struct {
	caps   [][]int
	a, b   geom.Point // of the section that limits
	width  float64
	need   float64 // strands that the asked length sends through it
	fits   int
	asked  float64 // length of one layer, mm
	length float64 // the greatest that passes
}

// strandSlack is by how much, as a share, a section may fall short of a whole
// number of least spacings: rounding of coordinates.
const strandSlack = 1e-6

// findNecks makes a cut test: between two tied boundaries a distance d apart
// no more than d·rhoMax strands can pass. The reference phase, scaled to the
// asked length, says how many would have to.
func (f *fitter) findNecks(g *guess, asked float64) *necks {
	n := &necks{asked: asked, length: asked, caps: make([][]int, len(g.groups))}
	scale := asked / f.space.length(f.space.gradients(g.ref))
	rho := f.in.Stack.Law.RhoMax()
	worst := 1.0
	for i := range g.groups {
		n.caps[i] = make([]int, len(g.groups))
		for j := range i {
			p, q, d := f.narrowest(g.groups[i], g.groups[j])
			fits := int(d * rho * (1 + strandSlack))
			n.caps[i][j], n.caps[j][i] = fits, fits
			need := scale * math.Abs(g.ref[g.groups[i][0]]-g.ref[g.groups[j][0]])
			if need <= 0 {
				continue
			}
			if r := (float64(fits) + neckSlack) / need; r < worst {
				worst = r
				n.a, n.b, n.width, n.need, n.fits = p, q, d, need, fits
			}
		}
	}
	n.length = asked * worst
	return n
}

// neckSlack is the part of a strand by which the estimate of the reference
// phase may exceed what fits: the integer fit takes it away.
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

// report says what the neck did to the asked length; nil when it passed.
func (n *necks) report(a *attempt) *Neck {
	if n.length >= n.asked {
		return nil
	}
	given := a.f.space.length(a.slope)
	over, by := 0.0, n.asked/given
	for q, g := range a.slope {
		if by*g.Norm() > a.f.in.Stack.Law.RhoMax() {
			over += a.f.space.weight[q]
		}
	}
	return &Neck{
		Family: a.family, Asked: n.asked, Given: given, A: n.a, B: n.b, Width: n.width,
		Need: int(math.Ceil(n.need - neckSlack)), Fits: n.fits, OverPacked: over / a.f.space.area(),
	}
}
