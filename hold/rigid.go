package hold

import (
	"fmt"
	"math"
	"slices"
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

// Rigid motions of a part: turn about z, along x and y; of a plate also tilts
// and along z.
const (
	turnZ = iota
	alongX
	alongY
	tiltsX // about y
	tiltsY // about x
	alongZ
	rigidMotions
)

// freeTolerance is the share of a unit motion that counts as rounding.
const freeTolerance = 1e-9

// rigidRows writes the displacements of a node at an arm from the centre, over
// the part's size, under each rigid motion:
//
//	u = a - c·y, v = b + c·x, w = d - s·x - t·y, tilts s and t over the size
func rigidRows(arm geom.Point, size float64) (r [most][rigidMotions]float64) {
	r[U] = [rigidMotions]float64{turnZ: -arm.Y, alongX: 1}
	r[V] = [rigidMotions]float64{turnZ: arm.X, alongY: 1}
	r[W] = [rigidMotions]float64{tiltsX: -arm.X, tiltsY: -arm.Y, alongZ: 1}
	r[TiltX][tiltsX], r[TiltY][tiltsY] = 1/size, 1/size
	return r
}

// checkRigid returns a *FreeMotionError or nil. With the shared motions as
// further columns the equations of all nodes, and those of springs, are brought
// to echelon form; what of the rigid motions remains free is a mechanism.
// bedded says that the whole face is held across.
func (c *constraints) checkRigid(cases []string, bedded bool) error {
	box := c.outline.mesh.Bounds()
	center, size := box.Middle(), box.Max.Dist(box.Min)
	motions := alongY + 1
	if c.per == Bending {
		motions = rigidMotions
	}
	e := &echelon{columns: motions + len(c.commons)}
	row := make([]float64, e.columns+1)
	add := func(n int32, local []float64, shared []term) {
		clear(row)
		rows := rigidRows(c.nodes[n].Sub(center).Scale(1/size), size)
		for d, v := range local {
			for k := range motions {
				row[k] += v * rows[d][k]
			}
		}
		for _, s := range shared {
			row[motions+s.index] -= s.coef
		}
		e.add(row)
	}
	for _, n := range c.order {
		for _, q := range c.equations[n] {
			add(n, q.local[:], q.shared)
		}
	}
	for i := range c.springs {
		c.addSpring(&c.springs[i], add)
	}
	if bedded {
		for n := range c.nodes {
			add(int32(n), []float64{W: 1}, nil)
		}
	}
	// Combining the motions shows the plain ones: two free motions with a turn
	// in both are one turn and one translation.
	plain := &echelon{columns: motions}
	for _, v := range e.null() {
		if v := v[:motions]; largest(v) > freeTolerance {
			plain.add(append(append([]float64(nil), v...), 0))
		}
	}
	if len(plain.rows) == 0 {
		return nil
	}
	err := &FreeMotionError{Cases: cases, Remedy: "hold it there with a support (fixed, pinned or sliding)"}
	if c.per == Bending {
		err.Remedy = "hold it there, in its plane or across it"
	}
	for _, k := range [...]int{alongX, alongY, alongZ, turnZ, tiltsX, tiltsY} {
		if r := plain.rowOf(k); r >= 0 {
			err.Motions = append(err.Motions, c.describe(plain.rows[r][:motions], center, size))
		}
	}
	return err
}

// addSpring passes on the equations that no elongation of a spring leaves.
func (c *constraints) addSpring(x *spring, add func(int32, []float64, []term)) {
	first := 0
	for first < len(x.dofs) && int(x.dofs[first]) < c.per*len(c.nodes) {
		first++
	}
	for d := range first {
		local := make([]float64, first)
		local[d] = 1
		var shared []term
		k := x.k[d*(d+1)/2+d]
		for i := first; i < len(x.dofs); i++ {
			if v := -x.k[i*(i+1)/2+d] / k; v != 0 {
				shared = append(shared, term{int(x.dofs[i]) - c.per*len(c.nodes), v})
			}
		}
		add(x.node, local, shared)
	}
}

func largest(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, math.Abs(x))
	}
	return m
}

const (
	// placeTolerance is the share of the part's size within which two places
	// count as one in a message.
	placeTolerance = 1e-6
	// farAway is where, in part sizes, a centre of rotation is no help to a reader.
	farAway = 1e3
)

// describe names a rigid motion; one across the plane by its greatest part.
func (c *constraints) describe(v []float64, center geom.Point, size float64) string {
	if best := largest(v); len(v) == rigidMotions && largest(v[tiltsX:]) == best {
		switch best {
		case math.Abs(v[tiltsX]):
			return "tilt about y"
		case math.Abs(v[tiltsY]):
			return "tilt about x"
		}
		return "translation along z"
	}
	x, y, turn := v[alongX], v[alongY], v[turnZ]
	scale := math.Max(math.Hypot(x, y), math.Abs(turn))
	if math.Abs(turn) <= freeTolerance*scale {
		return "translation along " + axis(x, y)
	}
	// The point that stays in place: a - c·y/L = 0, b + c·x/L = 0.
	p := center.Add(geom.Point{X: -y / turn * size, Y: x / turn * size})
	if p.Dist(center) > farAway*size { // as good as a translation
		return "translation along " + axis(x, y)
	}
	for f := range c.outline.part.Features {
		nodes := c.outline.nodes[f]
		if len(nodes) > 0 && c.holds(nodes[0]) && c.outline.Center(f).Dist(p) < placeTolerance*size {
			return fmt.Sprintf("rotation about %s", c.outline.name(f))
		}
	}
	if p.Dist(center) < placeTolerance*size {
		return "rotation"
	}
	return fmt.Sprintf("rotation about (%.4g, %.4g)", p.X, p.Y)
}

// holds reports whether an equation or a spring holds a node.
func (c *constraints) holds(node int32) bool {
	return len(c.equations[node]) > 0 || slices.ContainsFunc(c.springs, func(x spring) bool { return x.node == node })
}

func axis(x, y float64) string {
	l := math.Hypot(x, y)
	switch {
	case math.Abs(y) <= freeTolerance*l:
		return "x"
	case math.Abs(x) <= freeTolerance*l:
		return "y"
	}
	a := math.Mod(math.Atan2(y, x)*180/math.Pi+180, 180)
	return fmt.Sprintf("the direction of %.4g°", a)
}
