package solid

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
)

// Settings says how a surface is mended. The zero value holds the defaults.
type Settings struct {
	// Gap is the distance up to which loose corners are joined, and within which
	// a hole's rim counts as flat, mm. Default 0.01.
	Gap float64
}

// defaultGap is above the rounding of any exchange file and below what a
// printer can place.
const defaultGap = 0.01 // mm

func (s Settings) gap() float64 {
	if s.Gap > 0 {
		return s.Gap
	}
	return defaultGap
}

// Limits of what is mended: they bound memory and time.
const (
	maxTris  = 8_000_000
	maxOpen  = 20_000 // open edges
	maxRim   = 500    // corners of one hole: filling costs up to their cube
	maxShell = 1_000  // separate shells: each may ask all triangles
)

// Solid is a closed, oriented surface: every half edge has its twin.
type Solid struct {
	Mesh
	Repairs []Repair
	Shells  int // separate pieces of surface
	twin    []int32
}

// mender holds a surface in the course of being mended.
type mender struct {
	mesh    *Mesh
	set     Settings
	repairs []Repair
	twin    []int32
	open    []int32 // half edges without twin
}

// Mend makes a solid of a surface, or says why it bounds none: the error joins
// [Fault] values.
func Mend(m *Mesh, s Settings) (*Solid, error) {
	if len(m.Tris) == 0 {
		return nil, errors.New("the surface has no triangles; export the part as a closed surface")
	}
	if len(m.Tris) > maxTris {
		return nil, fmt.Errorf("the surface has %d triangles, more than %d; export it with a coarser tolerance", len(m.Tris), maxTris)
	}
	d := &mender{mesh: weld(m), set: s}
	steps := []func() error{d.clean, d.turn, d.closeOpen, d.sides}
	for _, step := range steps {
		if err := step(); err != nil {
			return nil, err
		}
	}
	_, shells := connect(len(d.mesh.Tris), d.twin)
	return &Solid{Mesh: *d.mesh, Repairs: d.repairs, Shells: shells, twin: d.twin}, nil
}

func (d *mender) note(what string, count int, at Point) {
	if count > 0 {
		d.repairs = append(d.repairs, Repair{what, count, at})
	}
}

// clean drops what adds nothing: collapsed triangles, and triangles that are
// there twice.
func (d *mender) clean() error {
	d.dropCollapsed()
	if len(d.mesh.Tris) == 0 {
		return errors.New("every triangle of the surface is without width; export the part again")
	}
	d.dropDoubled()
	return nil
}

// dropDoubled keeps one of equal triangles, and none of two that lie back to
// back. Only triangles at an edge that more than two share can have an equal.
func (d *mender) dropDoubled() {
	crowded := map[int32]bool{}
	var list []int32
	newEdgeTable(d.mesh).each(func(_ int32, uses []edgeUse) {
		if len(uses) <= 2 {
			return
		}
		for _, u := range uses {
			if t := u.half / 3; !crowded[t] {
				crowded[t] = true
				list = append(list, t)
			}
		}
	})
	if len(list) == 0 {
		return
	}
	key := func(t int32) [3]int32 { k, _ := sorted(d.mesh.Tris[t]); return k }
	slices.SortFunc(list, func(a, b int32) int {
		p, q := key(a), key(b)
		return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1]), cmp.Compare(p[2], q[2]), cmp.Compare(a, b))
	})
	gone := map[int32]bool{}
	for i := 0; i < len(list); {
		k := i + 1
		for k < len(list) && key(list[k]) == key(list[i]) {
			k++
		}
		d.surplus(list[i:k], gone)
		i = k
	}
	d.drop("doubled triangles dropped", func(t int) bool { return gone[int32(t)] })
}

// surplus marks which of equal triangles go: pairs that face each other cancel,
// and of the rest one stays.
func (d *mender) surplus(equal []int32, gone map[int32]bool) {
	net := 0
	for _, t := range equal {
		_, sign := sorted(d.mesh.Tris[t])
		net += sign
	}
	stays := net != 0
	for _, t := range equal {
		_, sign := sorted(d.mesh.Tris[t])
		if stays && (sign > 0) == (net > 0) {
			stays = false
			continue
		}
		gone[t] = true
	}
}

// sorted returns the corners in rising order and the sign of the permutation.
func sorted(t [3]int32) (k [3]int32, sign int) {
	sign = 1
	for _, p := range [3][2]int{{0, 1}, {1, 2}, {0, 1}} {
		if t[p[0]] > t[p[1]] {
			t[p[0]], t[p[1]] = t[p[1]], t[p[0]]
			sign = -sign
		}
	}
	return t, sign
}

// pair finds the twins anew.
func (d *mender) pair() {
	d.open = d.open[:0]
	d.twin = newEdgeTable(d.mesh).twins(func(h int32) { d.open = append(d.open, h) })
}

// turn turns triangles round until neighbours agree. Of each piece that hangs
// together the smaller part is turned; which side is outside comes later.
func (d *mender) turn() error {
	d.pair()
	if len(d.open) == 0 {
		return nil
	}
	link, clash := d.links()
	if !clash {
		return nil
	}
	flip := make([]int8, len(d.mesh.Tris)) // 0 unseen, 1 as it is, -1 turned
	count, at := 0, Point{}
	for start := range d.mesh.Tris {
		if flip[start] != 0 {
			continue
		}
		piece, bad := d.spread(int32(start), link, flip)
		if bad != none {
			return &Fault{"edges at which no turning of triangles makes inside and outside agree", "the surface is one-sided there: remodel it", 1, d.mesh.Points[d.mesh.from(bad)]}
		}
		n, first := d.turnFewer(piece, flip)
		if count == 0 {
			at = first
		}
		count += n
	}
	d.note("flipped triangles turned round", count, at)
	d.pair()
	return nil
}

// links returns for each half edge the other one of an edge that exactly two
// triangles share, whichever way they run, and whether any two run alike.
func (d *mender) links() (link []int32, clash bool) {
	link = make([]int32, 3*len(d.mesh.Tris))
	for i := range link {
		link[i] = none
	}
	newEdgeTable(d.mesh).each(func(_ int32, uses []edgeUse) {
		if len(uses) == 2 {
			a, b := uses[0].half, uses[1].half
			link[a], link[b] = b, a
			clash = clash || d.mesh.from(a) == d.mesh.from(b)
		}
	})
	return link, clash
}

// spread carries the sense of one triangle over its piece; bad is a half edge
// at which that fails.
func (d *mender) spread(start int32, link []int32, flip []int8) (piece []int32, bad int32) {
	flip[start] = 1
	piece = []int32{start}
	for i := 0; i < len(piece); i++ {
		t := piece[i]
		for k := range int32(3) {
			h := 3*t + k
			o := link[h]
			if o == none {
				continue
			}
			want := flip[t]
			if d.mesh.from(h) == d.mesh.from(o) {
				want = -want
			}
			switch flip[o/3] {
			case 0:
				flip[o/3] = want
				piece = append(piece, o/3)
			case -want:
				return piece, h
			}
		}
	}
	return piece, none
}

// turnFewer turns the smaller class of a piece.
func (d *mender) turnFewer(piece []int32, flip []int8) (n int, at Point) {
	minus := 0
	for _, t := range piece {
		if flip[t] < 0 {
			minus++
		}
	}
	class := int8(-1)
	if 2*minus > len(piece) {
		class = 1
	}
	for _, t := range piece {
		if flip[t] == class {
			if n == 0 {
				at = d.mesh.middle(int(t))
			}
			d.reverse(int(t))
			n++
		}
	}
	return n, at
}

func (d *mender) reverse(t int) {
	c := &d.mesh.Tris[t]
	c[1], c[2] = c[2], c[1]
}

// leastVolume: a shell of less volume, mm³, has no inside to speak of.
const leastVolume = 1e-9

// sides sees to it that shells have their outside outside: one that encloses a
// negative volume is a cavity where positive shells wind around it, else it was
// turned inside out, and what lies in it with it.
func (d *mender) sides() error {
	piece, n := connect(len(d.mesh.Tris), d.twin)
	if n > maxShell {
		return fmt.Errorf("the surface falls into %d separate shells, more than %d; export only the part", n, maxShell)
	}
	shells := d.shells(piece, n)
	turned, at := 0, Point{}
	flip := make([]bool, n)
	for i := range shells {
		positive := func(k int) bool { return shells[k].volume > 0 }
		if shells[i].volume > -leastVolume || d.around(shells, piece, i, positive) > 0 {
			continue
		}
		for k := range shells {
			if k == i || !flip[k] && d.around(shells, piece, k, func(o int) bool { return o == i }) != 0 {
				flip[k] = true
			}
		}
		if turned == 0 {
			at = d.mesh.middle(shells[i].first)
		}
		turned++
	}
	if turned == 0 {
		return nil
	}
	for t := range d.mesh.Tris {
		if flip[piece[t]] {
			d.reverse(t)
		}
	}
	d.note("shells turned inside out, put right", turned, at)
	d.pair()
	return nil
}

// shell is one piece of closed surface.
type shell struct {
	box    Box
	volume float64
	first  int // triangle
}

func (d *mender) shells(piece []int32, n int) []shell {
	list := make([]shell, n)
	origin := make([]Point, n)
	for i := range list {
		list[i] = shell{box: emptyBox(), first: none}
	}
	for t := range d.mesh.Tris {
		s := &list[piece[t]]
		a, b, c := d.mesh.corners(t)
		if s.first == none {
			s.first, origin[piece[t]] = t, a
		}
		o := origin[piece[t]]
		s.volume += a.Sub(o).Dot(b.Sub(o).Cross(c.Sub(o))) / 6
		s.box = s.box.with(a).with(b).with(c)
	}
	return list
}

// around returns how often the wanted shells wind around a shell that none of
// them crosses: the signed count of triangles above a point of it.
func (d *mender) around(shells []shell, piece []int32, inner int, wanted func(k int) bool) int {
	holds := make([]bool, len(shells))
	any := false
	for i := range shells {
		holds[i] = i != inner && wanted(i) && shells[i].box.holds(shells[inner].box)
		any = any || holds[i]
	}
	if !any {
		return 0
	}
	p := d.mesh.middle(shells[inner].first)
	sum := 0
	for t := range d.mesh.Tris {
		if holds[piece[t]] {
			sum += d.mesh.above(t, p)
		}
	}
	return sum
}

// above returns +1 where the triangle lies over p and faces up, -1 where it
// faces down, else 0. A corner level with p counts as beyond it in y, so that
// triangles that share an edge never both count.
func (m *Mesh) above(t int, p Point) int {
	a, b, c := m.corners(t)
	turns := 0
	for _, e := range [3][2]Point{{a, b}, {b, c}, {c, a}} {
		u, v := e[0], e[1]
		if (u.Y > p.Y) == (v.Y > p.Y) {
			continue
		}
		side := geom.Orient(u.plan(), v.plan(), p.plan())
		if up := v.Y > u.Y; up && side > 0 {
			turns++
		} else if !up && side < 0 {
			turns--
		}
	}
	if turns == 0 {
		return 0
	}
	n := m.normal(t)
	if math.Abs(n.Z) == 0 || n.Dot(a.Sub(p))/n.Z <= 0 { // height of the plane over p
		return 0
	}
	return turns
}
