package program

import (
	"math"

	"sinew/geom"
	"sinew/printer"
)

// Limits of asking what carries a bead.
const (
	// groundCell, mm, is the side of the squares of the bed in which it is kept
	// how high they are printed; a bead also marks the squares around it, so that
	// air is found from two squares beside what is printed.
	groundCell = 1.0
	// groundMost bounds the squares along a side of the bed, and so memory: 8 MiB.
	groundMost = 1000
)

// ground keeps for each square of the bed how high it is printed, and how high
// it was below that.
type ground struct {
	cell       float64
	nx, ny     int
	top, under []float32
	floor      float32 // height from which what is below carries the layer
	last       int     // square marked
	lastZ      float32 // at this height
	run        float64 // over air so far, mm
	line       int     // where that began
	said       bool
}

func (g *ground) start(b printer.Bed) {
	g.cell = math.Max(groundCell, math.Max(b.X, b.Y)/groundMost)
	g.nx, g.ny = int(b.X/g.cell)+1, int(b.Y/g.cell)+1
	g.top, g.under = make([]float32, g.nx*g.ny), make([]float32, g.nx*g.ny)
}

// over follows a move at a height: it marks the squares it passes and adds to
// the run what of it lies over air. It returns the greatest run on the way.
func (g *ground) over(a, b geom.Point, z float64, line int) (longest float64) {
	n := max(1, int(math.Ceil(2*dist(a, b)/g.cell)))
	if n > 4*(g.nx+g.ny) {
		return 0 // off the bed, which is said elsewhere
	}
	step := dist(a, b) / float64(n)
	for k := range n {
		p := a.Lerp(b, (float64(k)+0.5)/float64(n))
		x, y := int(p.X/g.cell), int(p.Y/g.cell)
		if p.X < 0 || p.Y < 0 || x >= g.nx || y >= g.ny {
			continue
		}
		c := y*g.nx + x
		if g.carries(c, float32(z)) {
			g.run, g.said = 0, false
		} else {
			if g.run == 0 {
				g.line = line
			}
			g.run += step
			longest = max(longest, g.run)
		}
		if c != g.last || float32(z) != g.lastZ {
			g.mark(x, y, float32(z))
			g.last, g.lastZ = c, float32(z)
		}
	}
	return longest
}

// carries reports whether something lies near enough under a square.
func (g *ground) carries(c int, z float32) bool {
	t := g.top[c]
	if t >= z {
		t = g.under[c]
	}
	return t >= g.floor
}

func (g *ground) mark(x, y int, z float32) {
	for j := max(0, y-1); j <= min(g.ny-1, y+1); j++ {
		for c := j*g.nx + max(0, x-1); c <= j*g.nx+min(g.nx-1, x+1); c++ {
			if g.top[c] < z {
				g.under[c], g.top[c] = g.top[c], z
			}
		}
	}
}

// newFloor settles from which height on a new layer is carried: the top of the
// layer below, or of one lower by the gap that supports leave.
func (m *machine) newFloor() {
	n := len(m.rep.Layers) - 1
	low, gap := n-1, 0.0
	if s := m.card.Support; s != nil {
		for ; low >= 0 && gap < s.Gap-layerSame; low-- {
			gap += m.rep.Layers[low].Height
		}
	}
	m.ground.floor = 0
	if low >= 0 {
		m.ground.floor = float32(m.rep.Layers[low].Z - layerSame)
	}
}

// checkCarried finds moves that go on over air for longer than the card's
// bridges may.
func (m *machine) checkCarried(from geom.Point, z float64) {
	b := m.card.Bridge
	if b == nil {
		return
	}
	if m.ground.top == nil {
		m.ground.start(m.card.Bed)
	}
	g := &m.ground
	longest := g.over(from, geom.Point{X: m.at[0], Y: m.at[1]}, z, m.in.line)
	m.rep.LongestOverAir = max(m.rep.LongestOverAir, longest)
	if longest <= b.Span || g.said {
		return
	}
	g.said = true
	line := m.in.line
	m.in.line = g.line
	if m.inTow {
		m.find("over-air", "lay it where something carries it", "the strand goes on over air for more than %.3g mm", b.Span)
	} else {
		m.warn("over-air", "print what carries it first, or supports", "the bead goes on over air for more than %.3g mm", b.Span)
	}
	m.in.line = line
}
