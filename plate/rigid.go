package plate

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
	"sinew/stress"
)

// FreeMotionError says that the supports leave the part free to move without
// being strained.
type FreeMotionError struct {
	Cases   []string // their names
	Motions []string // such as "translation along z"
}

// Error names the cases, the motions and the remedy.
func (e *FreeMotionError) Error() string {
	return fmt.Sprintf("in case %s the part is free to move: %s; hold it there, in its plane or across it",
		strings.Join(e.Cases, ", "), strings.Join(e.Motions, " and "))
}

// motionNames in the order of checkRigid's columns.
var motionNames = [...]string{"tilt about y", "tilt about x", "rotation in the plane", "translation along x", "translation along y", "translation along z"}

const rigidMotions = len(motionNames)

// checkRigid returns a *FreeMotionError or nil. A rigid motion at a node (x, y
// from the centre, over size) is
//
//	u = a - c·y, v = b + c·x, w = d - s·x - t·y, tilts s and t
//
// and what no equation and no spring stops of it is a mechanism.
func (c *constraints) checkRigid(cases []string, bedded []int32) error {
	size, center := extent(c.nodes)
	e := &stress.Echelon{Columns: rigidMotions + len(c.commons)}
	rows := func(n int32) (r [dofsPerNode][rigidMotions]float64) {
		x, y := (c.nodes[n].X-center.X)/size, (c.nodes[n].Y-center.Y)/size
		r[dispU] = [rigidMotions]float64{2: -y, 3: 1}
		r[dispV] = [rigidMotions]float64{2: x, 4: 1}
		r[dispW] = [rigidMotions]float64{0: -x, 1: -y, 5: 1}
		r[tiltX][0], r[tiltY][1] = 1/size, 1/size
		return r
	}
	row := make([]float64, e.Columns+1)
	add := func(n int32, local []float64, shared []term) {
		clear(row)
		for d, r := range rows(n) {
			for k, v := range r {
				if d < len(local) {
					row[k] += local[d] * v
				}
			}
		}
		for _, s := range shared {
			row[rigidMotions+s.index] -= s.coef
		}
		e.Add(row)
	}
	for _, n := range c.order {
		for _, q := range c.equations[n] {
			add(n, q.local[:], q.shared)
		}
	}
	for _, x := range c.extras {
		c.addSpring(&x, add)
	}
	for _, n := range bedded {
		add(n, []float64{0, 0, 1}, nil)
	}
	err := &FreeMotionError{Cases: cases}
	plain := &stress.Echelon{Columns: rigidMotions}
	for _, v := range e.Null() {
		if v := v[:rigidMotions]; maxAbs(v) > freeTolerance {
			plain.Add(append(append([]float64(nil), v...), 0))
		}
	}
	for _, r := range plain.Rows {
		best := 0
		for k := range r[:rigidMotions] {
			if math.Abs(r[k]) > math.Abs(r[best]) {
				best = k
			}
		}
		err.Motions = append(err.Motions, motionNames[best])
	}
	if len(err.Motions) == 0 {
		return nil
	}
	return err
}

// freeTolerance is the share of a unit motion that counts as rounding.
const freeTolerance = 1e-9

// addSpring passes on the equations that no elongation of a spring leaves.
func (c *constraints) addSpring(x *extra, add func(int32, []float64, []term)) {
	first := 0
	for first < len(x.dofs) && int(x.dofs[first]) < dofsPerNode*len(c.nodes) {
		first++
	}
	for d := range first {
		local := make([]float64, first)
		local[d] = 1
		var shared []term
		k := x.k[d*(d+1)/2+d]
		for i := first; i < len(x.dofs); i++ {
			if v := -x.k[i*(i+1)/2+d] / k; v != 0 {
				shared = append(shared, term{int(x.dofs[i]) - dofsPerNode*len(c.nodes), v})
			}
		}
		add(x.node, local, shared)
	}
}

func maxAbs(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, math.Abs(x))
	}
	return m
}

// extent returns the diagonal and centre of the box around points.
func extent(points []geom.Point) (size float64, center geom.Point) {
	lo, hi := points[0], points[0]
	for _, p := range points {
		lo = geom.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = geom.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	return hi.Dist(lo), lo.Lerp(hi, 0.5)
}
