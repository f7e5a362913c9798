package strand

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/internal/work"
)

// flattenWalls is how far the chords of a wall's bead may lie off its arcs, mm.
const flattenWalls = 0.01

// coverPress is the share of a bead's width by which rows run into the
// wall: rows that only touch it leave a saw of voids (common
// practice).
const coverPress = 0.1

// coverAngles are the directions of the lines of plastic layers, in turn, deg.
func coverAngle(k int) float64 { return [...]float64{45, -45, 0, 90}[k%4] }

// addPlastic adds walls to every layer, fills the plastic layers, and patches
// the pockets of composite layers.
func (m *layer) addPlastic(ctx context.Context, pr *Print) error {
	lim, s := m.limits, m.set
	walls, ribs, err := wallBeads(s.Region, s.Walls, lim.wall)
	if err != nil {
		return err
	}
	press := coverPress
	if s.Walls == 0 {
		press = 0
	}
	inner, err := s.Region.Inset((float64(s.Walls) + 0.5 - press) * lim.wall)
	if err != nil {
		return fmt.Errorf("plastic inside the walls: %w", err)
	}
	placeSeams(walls, s.Quiet)
	walls = inOrder(walls)
	var rows geom.Polygons
	var thin []Bead
	var patched map[patchKey]patchDone
	work.Each(2, s.Workers, func(i int) {
		if i == 0 {
			patched = m.patches(ctx, pr, walls)
		} else {
			rows, thin = plainArea(s.Region, walls, flattened(inner), ribs, lim.wall)
		}
	})
	plain := 0
	if len(pr.Layers) > 0 {
		if pr.Layers[0].Beads, err = s.Grip.beads(s.Region, lim.wall); err != nil {
			return err
		}
	}
	for i := range pr.Layers {
		l := &pr.Layers[i]
		if err := ctx.Err(); err != nil {
			return err
		}
		if l.Kind == Plastic && i == 0 && len(s.bridges) > 0 {
			l.Beads = append(l.Beads, overAir(walls, s.bridges, lim.flow)...)
			l.Beads = follow(l.Beads, overAir(thin, s.bridges, lim.flow))
			l.Beads = follow(l.Beads, bridged(rows, s.bridges, coverAngle(plain)*math.Pi/180, lim))
			plain++
			continue
		}
		if l.Kind == Plastic {
			l.Beads = follow(append(l.Beads, walls...), thin)
			l.Beads = follow(l.Beads, m.plainBeads(pr.Layers, i, rows, plain))
			plain++
			continue
		}
		done := patched[keyOf(l)]
		l.Beads = append(l.Beads, done.beads...)
		l.Pockets = done.empty
	}
	return nil
}

// patches fills one of the composite layers whose strands lie and end alike, for
// each kind of them, side by side.
func (m *layer) patches(ctx context.Context, pr *Print, walls []Bead) map[patchKey]patchDone {
	out := map[patchKey]patchDone{}
	var first []int
	var keys []patchKey
	for i := range pr.Layers {
		l := &pr.Layers[i]
		if l.Kind != Composite {
			continue
		}
		if k := keyOf(l); !slices.Contains(keys, k) {
			keys, first = append(keys, k), append(first, i)
		}
	}
	done := make([]patchDone, len(first))
	room := make([]*gaps, m.set.Workers)
	work.EachIn(len(first), m.set.Workers, func(w, i int) {
		if ctx.Err() != nil {
			return
		}
		if room[w] == nil {
			room[w] = newGaps(NewRaster(pr.Region, fillCell))
		}
		done[i] = m.fillAround(pr.Layers[first[i]].Strands, m.halves[first[i]], walls, room[w])
	})
	for i, k := range keys {
		out[k] = done[i]
	}
	return out
}

// plainBeads fills plastic layer i of the stack, the nth one.
func (m *layer) plainBeads(layers []Layer, i int, area geom.Polygons, nth int) []Bead {
	f := m.set.Fill
	if f.Pattern == Solid || f.isSkin(layers, i) {
		return rowsIn(area, coverAngle(nth)*math.Pi/180, m.limits.wall)
	}
	return f.sparseBeads(area, nth, layers[i].Z, m.limits.wall)
}

// inOrder returns beads so that each starts near the end of the one before,
// open ones turned where that is nearer.
func inOrder(beads []Bead) []Bead { return follow(nil, beads) }

// follow appends beads in such an order to those before them.
func follow(out, beads []Bead) []Bead {
	left := slices.Clone(beads)
	for len(left) > 0 {
		best, turned := 0, false
		if len(out) > 0 {
			at, dist := out[len(out)-1].last(), math.Inf(1)
			for i := range left {
				b := &left[i]
				if d := b.Points[0].Dist(at); d < dist {
					best, turned, dist = i, false, d
				}
				if d := b.last().Dist(at); !b.Closed && d < dist {
					best, turned, dist = i, true, d
				}
			}
		}
		next := left[best]
		if turned {
			next.Points, next.Widths = slices.Clone(next.Points), slices.Clone(next.Widths)
			slices.Reverse(next.Points)
			slices.Reverse(next.Widths)
		}
		out = append(out, next)
		left = slices.Delete(left, best, best+1)
	}
	return out
}

// last is where the nozzle stands after the bead.
func (b *Bead) last() geom.Point {
	if b.Closed {
		return b.Points[0]
	}
	return b.Points[len(b.Points)-1]
}

// fillAround returns the beads that fill what strands and walls leave of a
// composite layer, and the area that stays empty; g has the part's squares.
func (m *layer) fillAround(strands []Strand, halves []Halves, walls []Bead, g *gaps) (out patchDone) {
	g.wipe()
	g.AddStrands(strands, halves, m.limits.least, false)
	walls = widenWalls(walls, strands, halves, m.limits.gap, m.limits.wall)
	g.AddBeads(walls)
	out.beads = follow(walls, g.beads(m.limits.wall))
	out.empty = g.areaOf(len(g.open))
	return out
}

// patchKey tells layers whose strands lie in the same places: of the same level
// lines, and ended at the same points.
type patchKey struct {
	lineKey
	ends string
}

type patchDone struct {
	beads []Bead
	empty float64
}

func keyOf(l *Layer) patchKey {
	var ends []geom.Point
	for i := range l.Strands {
		if s := &l.Strands[i]; !s.Closed {
			ends = append(ends, s.Points[0], s.Points[len(s.Points)-1])
		}
	}
	slices.SortFunc(ends, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	return patchKey{lineKey{l.Family, l.Shift}, fmt.Sprint(ends)}
}

func flattened(areas []geom.Region) geom.Polygons {
	var out geom.Polygons
	for _, a := range areas {
		out = append(out, a.Flatten(flattenWalls)...)
	}
	return out
}

// wallBeads returns n beads along each loop of the region, outermost first:
// closed, but where ribs are too narrow for them, which it reports.
func wallBeads(r geom.Region, n int, width float64) (out []Bead, ribs bool, err error) {
	area := r.Flatten(ribFlat)
	for i := range n {
		inner, err := r.Inset((float64(i) + 0.5) * width)
		if err != nil {
			return nil, false, fmt.Errorf("wall %d of %d: %w", i+1, n, err)
		}
		if len(inner) == 0 {
			return nil, false, fmt.Errorf("wall %d of %d, %.3g mm wide, does not fit into the part; use fewer walls", i+1, n, width)
		}
		var wall []Bead
		for _, reg := range inner {
			for _, l := range reg.Loops() {
				wall = append(wall, Bead{Kind: Wall, Points: l.Flatten(flattenWalls), Closed: true, Width: width})
			}
		}
		wall, narrow := offRibs(wall, area, i, width)
		out, ribs = append(out, wall...), ribs || narrow
	}
	return out, ribs, nil
}

// serpentines returns polylines that fill the polygons with horizontal rows.
func serpentines(polys geom.Polygons, width float64) [][]geom.Point {
	box := polys.Bounds()
	if len(polys) == 0 {
		return nil
	}
	n := int(box.Size().Y/width) + 1
	y := (box.Min.Y+box.Max.Y)/2 - width*float64(n-1)/2
	var done, open [][]geom.Point
	for range n {
		var next [][]geom.Point
		taken := make([]bool, len(open))
		for _, span := range scan(polys, y) {
			if span[1]-span[0] < width {
				continue // a dot that the rows beside it press into
			}
			a, b := geom.Point{X: span[0], Y: y}, geom.Point{X: span[1], Y: y}
			k, from, to := joinable(open, taken, a, b, polys, width)
			if k < 0 {
				next = append(next, []geom.Point{a, b})
				continue
			}
			taken[k] = true
			next = append(next, append(open[k], from, to))
		}
		for k, c := range open {
			if !taken[k] {
				done = append(done, c)
			}
		}
		open = next
		y += width
	}
	return append(done, open...)
}

// rowReach is how far, in bead widths, the end of a row may lie from the start
// of the next for the nozzle to go over without a break.
const rowReach = 3.0

// joinable returns the open line whose end is nearest to an end of the row
// a–b, within reach and with the way inside, and the row in the sense in which
// it goes on; -1 when there is none.
func joinable(open [][]geom.Point, taken []bool, a, b geom.Point, polys geom.Polygons, width float64) (k int, from, to geom.Point) {
	k = -1
	best := rowReach * width
	for i, c := range open {
		if taken[i] {
			continue
		}
		end := c[len(c)-1]
		for _, q := range [2][2]geom.Point{{a, b}, {b, a}} {
			if d := end.Dist(q[0]); d < best && wayInside(polys, end, q[0], width) {
				k, from, to, best = i, q[0], q[1], d
			}
		}
	}
	return k, from, to
}

// borderSlack is how far, in bead widths, a way between rows may leave the area
// of centre lines: on a curved border it cuts the corner.
const borderSlack = 0.15

// wayInside reports whether the short way between two points of the border
// keeps to the inside, but for borderSlack.
func wayInside(polys geom.Polygons, a, b geom.Point, width float64) bool {
	const samples = 4
	for i := 1; i < samples; i++ {
		p := a.Lerp(b, float64(i)/samples)
		if !polys.Contains(p) && borderDistance(polys, p) > borderSlack*width {
			return false
		}
	}
	return true
}

func borderDistance(polys geom.Polygons, p geom.Point) float64 {
	best := math.Inf(1)
	for _, poly := range polys {
		for i, a := range poly {
			s := segment{a: a, b: poly[(i+1)%len(poly)]}
			_, d := s.foot(p)
			best = math.Min(best, d)
		}
	}
	return best
}
