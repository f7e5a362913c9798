package program

import (
	"math"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Placement puts a copy of a part on the bed: turned by quarter turns
// counter-clockwise about the drawing's origin, then shifted.
type Placement struct {
	Turns int
	At    geom.Point
}

// Place returns where a point of the drawing comes to lie.
func (p Placement) Place(q geom.Point) geom.Point { return turned(q, p.Turns).Add(p.At) }

func turned(p geom.Point, turns int) geom.Point {
	for range turns {
		p = p.Left()
	}
	return p
}

// Limits of nesting.
const (
	// nestCell, mm, is the side of the squares in which outlines are compared.
	// Squares that an outline only touches count as taken, so that the distance
	// asked for is kept and exceeded by up to two squares.
	nestCell = 1.0
	// nestFlat, mm, is how far chords may lie off an outline's arcs: far below
	// a square.
	nestFlat = 0.05
	// nestMost bounds the copies of one print.
	nestMost = 1000
)

// Nest places up to n copies of a region on the bed, at least spacing apart,
// from the bottom up and from left to right, each in the quarter turn that ends
// lowest; the whole is then moved to the middle. The same input gives the same
// places. Fewer than n come back where no more fit. Holes count as filled.
//
// Method: first fit on a raster, with the outline grown by half the spacing.
// Since the bed only fills up, the search for each quarter turn goes on where
// it found its last place: the cost is that of one sweep of the bed for each.
func Nest(r geom.Region, bed printer.Bed, n int, spacing float64) []Placement {
	n = min(n, nestMost)
	if n == 1 {
		return []Placement{middleOf(r, bed)}
	}
	grid := newNestGrid(bed, spacing)
	var shapes []*nestShape
	for turns := range 4 {
		shapes = append(shapes, newNestShape(r, turns, spacing))
	}
	var out []Placement
	for len(out) < n {
		best := -1
		for k, s := range shapes {
			if !s.seek(grid) {
				continue
			}
			if best < 0 || s.y+s.tall < shapes[best].y+shapes[best].tall {
				best = k
			}
		}
		if best < 0 {
			break
		}
		out = append(out, shapes[best].put(grid))
	}
	return toMiddle(r, bed, out)
}

// middleOf places one copy in the middle of the bed as it is drawn.
func middleOf(r geom.Region, bed printer.Bed) Placement {
	return Placement{At: geom.Point{X: bed.X / 2, Y: bed.Y / 2}.Sub(r.Bounds().Middle())}
}

// toMiddle moves all copies so that their box lies in the middle of the bed,
// unless that takes one off a round bed.
func toMiddle(r geom.Region, bed printer.Bed, all []Placement) []Placement {
	pts := r.Outer.Flatten(nestFlat)
	box := geom.EmptyBox()
	for _, p := range all {
		for _, q := range pts {
			box = box.With(p.Place(q))
		}
	}
	if len(all) == 0 {
		return all
	}
	by := geom.Point{X: bed.X / 2, Y: bed.Y / 2}.Sub(box.Middle())
	moved := make([]Placement, len(all))
	for i, p := range all {
		moved[i] = Placement{p.Turns, p.At.Add(by)}
		for _, q := range pts {
			if bed.Outside(moved[i].Place(q)) > 0 {
				return all
			}
		}
	}
	return moved
}

// nestGrid marks the squares of the bed that are taken, a bit each, with room
// around for what outlines reach over when grown.
type nestGrid struct {
	bed    printer.Bed
	margin int // squares around the bed
	words  int // of a row
	rows   [][]uint64
	nx, ny int // squares of the bed
}

func newNestGrid(bed printer.Bed, spacing float64) *nestGrid {
	g := &nestGrid{bed: bed, margin: int(math.Ceil(spacing/2/nestCell)) + 2, nx: int(bed.X / nestCell), ny: int(bed.Y / nestCell)}
	g.words = (g.nx+2*g.margin)/64 + 2
	g.rows = make([][]uint64, g.ny+2*g.margin)
	for i := range g.rows {
		g.rows[i] = make([]uint64, g.words)
	}
	return g
}

// nestShape is the outline in one quarter turn: its squares, grown, and where
// the search for a place stands.
type nestShape struct {
	turns      int
	min        geom.Point   // of the turned outline's box
	hull       []geom.Point // the turned outline, from min
	wide, tall int          // squares of its box
	margin     int          // squares around it
	rows       [][]uint64
	x, y       int // place to try next, in squares of the bed
}

func newNestShape(r geom.Region, turns int, spacing float64) *nestShape {
	s := &nestShape{turns: turns, margin: int(math.Ceil(spacing/2/nestCell)) + 1}
	box := geom.EmptyBox()
	for _, p := range r.Outer.Flatten(nestFlat) {
		q := turned(p, turns)
		s.hull = append(s.hull, q)
		box = box.With(q)
	}
	s.min = box.Min
	for i := range s.hull {
		s.hull[i] = s.hull[i].Sub(box.Min)
	}
	size := box.Size()
	s.wide, s.tall = int(math.Ceil(size.X/nestCell)), int(math.Ceil(size.Y/nestCell))
	s.fill(spacing)
	return s
}

// fill marks the squares that the grown outline touches.
func (s *nestShape) fill(spacing float64) {
	loop := geom.Polygon(s.hull).Loop()
	edge := geom.NewBoundary(geom.Region{Outer: loop})
	reach := spacing/2 + nestCell/math.Sqrt2
	nx, ny := s.wide+2*s.margin, s.tall+2*s.margin
	s.rows = make([][]uint64, ny)
	for j := range s.rows {
		s.rows[j] = make([]uint64, nx/64+1)
		for i := range nx {
			p := geom.Point{X: (float64(i-s.margin) + 0.5) * nestCell, Y: (float64(j-s.margin) + 0.5) * nestCell}
			if edge.Nearest(p).Distance <= reach || geom.Polygon(s.hull).Contains(p) {
				s.rows[j][i/64] |= 1 << (i % 64)
			}
		}
	}
}

// seek moves on to the next place that is free and reports whether there is
// one.
func (s *nestShape) seek(g *nestGrid) bool {
	for ; s.y+s.tall <= g.ny; s.y, s.x = s.y+1, 0 {
		for ; s.x+s.wide <= g.nx; s.x++ {
			if s.free(g) && s.onBed(g) {
				return true
			}
		}
	}
	return false
}

// each calls visit with the words of the grid that the shape touches at its
// place, and its bits there, until visit returns false.
func (s *nestShape) each(g *nestGrid, visit func(word *uint64, bits uint64) bool) bool {
	x := s.x + g.margin - s.margin
	for j, row := range s.rows {
		to := g.rows[s.y+g.margin-s.margin+j]
		for k, bits := range row {
			at, shift := x/64+k, x%64
			if !visit(&to[at], bits<<shift) {
				return false
			}
			if high := bits >> (64 - shift); shift > 0 && high != 0 && !visit(&to[at+1], high) {
				return false
			}
		}
	}
	return true
}

func (s *nestShape) free(g *nestGrid) bool {
	return s.each(g, func(word *uint64, bits uint64) bool { return *word&bits == 0 })
}

// onBed holds the outline itself to a round bed; a rectangle's squares are all
// on it.
func (s *nestShape) onBed(g *nestGrid) bool {
	if !g.bed.Round {
		return true
	}
	at := s.corner()
	for _, p := range s.hull {
		if g.bed.Outside(p.Add(at)) > 0 {
			return false
		}
	}
	return true
}

func (s *nestShape) corner() geom.Point {
	return geom.Point{X: float64(s.x), Y: float64(s.y)}.Scale(nestCell)
}

// put takes the place.
func (s *nestShape) put(g *nestGrid) Placement {
	s.each(g, func(word *uint64, bits uint64) bool {
		*word |= bits
		return true
	})
	return Placement{s.turns, s.corner().Sub(s.min)}
}

// Copies returns a print of several copies, layer by layer, in the order of
// their places: one swap of tools a layer serves all, and each copy cools for
// as long as the others take. Its coordinates are those of the bed.
func Copies(pr *strand.Print, places []Placement) *strand.Print {
	out := *pr
	out.Layers = make([]strand.Layer, len(pr.Layers))
	for i := range pr.Layers {
		l := pr.Layers[i]
		regions := l.Regions
		if regions == nil {
			regions = []geom.Region{pr.Region}
		}
		l.Strands, l.Beads, l.Regions = nil, nil, nil
		for _, p := range places {
			for _, r := range regions {
				l.Regions = append(l.Regions, r.Map(p.Place))
			}
			for _, s := range pr.Layers[i].Strands {
				s.Points = placed(s.Points, p)
				l.Strands = append(l.Strands, s)
			}
			for _, b := range pr.Layers[i].Beads {
				b.Points = placed(b.Points, p)
				l.Beads = append(l.Beads, b)
			}
		}
		out.Layers[i] = l
	}
	return &out
}

func placed(pts []geom.Point, p Placement) []geom.Point {
	out := make([]geom.Point, len(pts))
	for i, q := range pts {
		out[i] = p.Place(q)
	}
	return out
}
