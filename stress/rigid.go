package stress

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
)

// FreeMotionError says that the supports of a set of cases leave the part
// free to move without being strained.
type FreeMotionError struct {
	Cases   []string // their names
	Motions []string // such as "translation along x"
	Remedy  string
}

// Error names the cases, the motions and the remedy.
func (e *FreeMotionError) Error() string {
	return fmt.Sprintf("in case %s the part is free to move: %s; %s",
		strings.Join(e.Cases, ", "), strings.Join(e.Motions, " and "), e.Remedy)
}

// freeMotions returns the rigid-body motions (x, y translation of the origin
// at center, turn times size) that no equation stops.
//
// A rigid motion at a node is (a - c·y/L, b + c·x/L), x and y from the centre;
// with the shared motions as further columns the equations of all nodes are
// brought to echelon form; what remains free is a mechanism.
func (c *constraints) freeMotions(center geom.Point, size float64) [][]float64 {
	e := &Echelon{Columns: 3 + len(c.commons)}
	row := make([]float64, e.Columns+1)
	for _, n := range c.order {
		arm := c.outline.mesh.Nodes[n].Sub(center).Left().Scale(1 / size)
		for _, q := range c.equations[n] {
			clear(row)
			row[0], row[1], row[2] = q.normal.X, q.normal.Y, q.normal.Dot(arm)
			for _, t := range q.shared {
				row[3+t.index] -= t.coef
			}
			e.Add(row)
		}
	}
	var motions [][]float64
	for _, v := range e.Null() {
		if math.Abs(v[0])+math.Abs(v[1])+math.Abs(v[2]) > rowTolerance {
			motions = append(motions, v[:3])
		}
	}
	return motions
}

// checkRigid returns a FreeMotionError that names the free motions in words,
// or nil.
func (c *constraints) checkRigid(cases []string) error {
	box := bounds(c.outline.mesh.Nodes)
	center := box.Min.Lerp(box.Max, 0.5)
	size := box.Max.Dist(box.Min)
	motions := c.freeMotions(center, size)
	if len(motions) == 0 {
		return nil
	}
	// Combining the motions shows the plain ones: two free motions with a turn
	// in both are one turn and one translation.
	e := &Echelon{Columns: 3}
	for _, m := range motions {
		e.Add([]float64{m[2], m[0], m[1], 0}) // turn first, so that it stays in one row
	}
	err := &FreeMotionError{Cases: cases, Remedy: "hold it there with a support (fixed, pinned or sliding)"}
	for _, r := range e.Rows {
		err.Motions = append(err.Motions, c.describe(r[1], r[2], r[0], center, size))
	}
	return err
}

const (
	// placeTolerance is the share of the part's size within which two places
	// count as one in a message.
	placeTolerance = 1e-6
	// farAway is where, in part sizes, a centre of rotation is no help to a reader.
	farAway = 1e3
)

// describe names the rigid motion (x, y, turn·size about the centre).
func (c *constraints) describe(x, y, turn float64, center geom.Point, size float64) string {
	scale := math.Max(math.Hypot(x, y), math.Abs(turn))
	if math.Abs(turn) <= rowTolerance*scale {
		return "translation along " + axis(x, y)
	}
	// The point that stays in place: a - c·y/L = 0, b + c·x/L = 0.
	p := center.Add(geom.Point{X: -y / turn * size, Y: x / turn * size})
	if p.Dist(center) > farAway*size { // as good as a translation
		return "translation along " + axis(x, y)
	}
	for f := range c.outline.part.Features {
		nodes := c.outline.nodes[f]
		if len(nodes) > 0 && len(c.equations[nodes[0]]) > 0 && c.outline.Center(f).Dist(p) < placeTolerance*size {
			return fmt.Sprintf("rotation about %s", c.outline.name(f))
		}
	}
	if p.Dist(center) < placeTolerance*size {
		return "rotation"
	}
	return fmt.Sprintf("rotation about (%.4g, %.4g)", p.X, p.Y)
}

func axis(x, y float64) string {
	l := math.Hypot(x, y)
	switch {
	case math.Abs(y) <= rowTolerance*l:
		return "x"
	case math.Abs(x) <= rowTolerance*l:
		return "y"
	}
	a := math.Mod(math.Atan2(y, x)*180/math.Pi+180, 180)
	return fmt.Sprintf("the direction of %.4g°", a)
}

func bounds(points []geom.Point) geom.Box {
	b := geom.Box{Min: points[0], Max: points[0]}
	for _, p := range points {
		b.Min.X, b.Min.Y = math.Min(b.Min.X, p.X), math.Min(b.Min.Y, p.Y)
		b.Max.X, b.Max.Y = math.Max(b.Max.X, p.X), math.Max(b.Max.Y, p.Y)
	}
	return b
}
