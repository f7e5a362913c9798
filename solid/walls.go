package solid

import (
	"fmt"
	"math"

	"sinew/geom"
)

// Wall is an upright face of a solid in layers: flat, or part of a cylinder. In
// the plan it is an edge, or a run of arcs of one circle.
type Wall struct {
	Name        string // "flat-1", "round-1" …
	Edge        geom.Edge
	Bottom, Top float64
}

// NameWalls finds the walls of the slabs and writes their names as labels on
// the slabs' edges. Walls are numbered kind by kind, slab by slab upwards, loop
// by loop, edge by edge; an edge that lies on a wall of a slab further down
// belongs to it. Full circles and arcs that follow each other on one circle are
// one wall.
func NameWalls(slabs []Slab) []Wall {
	n := namer{byKey: map[wallKey][]int{}}
	for k := range slabs {
		n.old = len(n.walls)
		for r := range slabs[k].Regions {
			region := &slabs[k].Regions[r]
			n.loop(region.Outer, &slabs[k])
			for _, h := range region.Holes {
				n.loop(h, &slabs[k])
			}
		}
	}
	return n.walls
}

// wallKey is where walls are looked for: the line's direction and offset, or
// the circle's centre and radius, in steps of wallStep.
type wallKey struct {
	round   bool
	a, b, c int64
}

// wallStep, mm and mm per wallArm: two edges nearer than that may be one wall.
const (
	wallStep = 0.01
	wallArm  = 10.0 // mm: directions are told apart by what they differ at this length
)

// namer collects walls.
type namer struct {
	walls       []Wall
	byKey       map[wallKey][]int
	old         int // walls of the slabs further down
	flat, round int
}

func keyOf(e geom.Edge) wallKey {
	step := func(v float64) int64 { return int64(math.Round(v / wallStep)) }
	if e.IsArc() {
		c := e.Center()
		return wallKey{true, step(c.X), step(c.Y), step(e.Radius())}
	}
	t := e.Tangent(0)
	return wallKey{false, step(math.Atan2(t.Y, t.X) * wallArm), step(t.Cross(e.A)), 0}
}

// loop names the edges of a loop.
func (n *namer) loop(l geom.Loop, s *Slab) {
	for i := range l {
		if i > 0 && onOneCircle(l[i-1], l[i]) {
			l[i].Label = l[i-1].Label
			continue
		}
		if w := n.find(l[i]); w >= 0 {
			l[i].Label, n.walls[w].Top = n.walls[w].Name, s.Top
			continue
		}
		l[i].Label = n.add(l[i], s)
	}
	if k := len(l) - 1; k > 0 && l[k].Label != l[0].Label && onOneCircle(l[k], l[0]) {
		for i, was := k, l[k].Label; i > 0 && l[i].Label == was; i-- { // the loop starts within an arc
			l[i].Label = l[0].Label
		}
	}
}

// onOneCircle reports whether two arcs belong to one cylinder, turning alike.
func onOneCircle(a, b geom.Edge) bool {
	return a.IsArc() && b.IsArc() && a.Bulge*b.Bulge > 0 && a.Center().Dist(b.Center()) <= wallStep && math.Abs(a.Radius()-b.Radius()) <= wallStep
}

// find returns the wall of a slab further down that an edge lies on, or -1.
func (n *namer) find(e geom.Edge) int {
	k := keyOf(e)
	for da := int64(-1); da <= 1; da++ {
		for db := int64(-1); db <= 1; db++ {
			for dc := int64(-1); dc <= 1; dc++ {
				for _, w := range n.byKey[wallKey{k.round, k.a + da, k.b + db, k.c + dc}] {
					if w < n.old && lieTogether(n.walls[w].Edge, e) {
						return w
					}
				}
			}
		}
	}
	return -1
}

// lieTogether reports whether the middle of one edge lies on the other.
func lieTogether(a, b geom.Edge) bool {
	_, d := a.Nearest(b.At(0.5))
	_, f := b.Nearest(a.At(0.5))
	return min(d, f) <= wallStep
}

func (n *namer) add(e geom.Edge, s *Slab) string {
	name := ""
	if e.IsArc() {
		n.round++
		name = fmt.Sprintf("round-%d", n.round)
	} else {
		n.flat++
		name = fmt.Sprintf("flat-%d", n.flat)
	}
	k := keyOf(e)
	n.byKey[k] = append(n.byKey[k], len(n.walls))
	n.walls = append(n.walls, Wall{name, e, s.Bottom, s.Top})
	return name
}
