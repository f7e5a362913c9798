package strand

import (
	"math"

	"sinew/field"
	"sinew/geom"
	"sinew/mesh"
)

// Cutting of six-node triangles before level lines are traced linearly. Phase
// and sides are quadratic: with h the side of the small triangle the lines are
// off by h²/8·|φ"|/|∇φ|, below 0.01 mm for sides of fineSide and radii of 6 mm.
const (
	fineSide  = 0.7 // mm
	maxPieces = 4
)

// piecesFor returns into how many parts each side is cut: by the largest
// element, so that neighbours match.
func piecesFor(f *field.Family) int {
	area := 0.0
	for _, t := range f.Mesh.Tris {
		a, b, c := f.Mesh.Nodes[t[0]], f.Mesh.Nodes[t[1]], f.Mesh.Nodes[t[2]]
		area = math.Max(area, b.Sub(a).Cross(c.Sub(a))/2)
	}
	side := math.Sqrt(2 * area)
	return max(1, min(maxPieces, int(math.Ceil(side/fineSide))))
}

// refined is the six-node mesh cut into linear triangles, corner nodes first.
type refined struct {
	pieces int // of each side
	nodes  []geom.Point
	values []float64
	tris   [][3]int32
}

// refine cuts the active elements. Points on a side are shared by the two
// elements beside it, so that lines run through.
func refine(f *field.Family) refined {
	r := refined{
		pieces: piecesFor(f),
		nodes:  append([]geom.Point(nil), f.Mesh.Nodes...),
		values: append([]float64(nil), f.Phase...),
	}
	sides := map[[2]int32][]int32{}
	for t := range f.Mesh.Tris {
		if f.Active == nil || f.Active[t] {
			r.cut(f, int32(t), sides)
		}
	}
	return r
}

// cut adds the pieces² triangles of one element. Row j of the lattice holds
// the points with the third barycentric coordinate j/pieces.
func (r *refined) cut(f *field.Family, t int32, sides map[[2]int32][]int32) {
	tri := f.Mesh.Tris[t]
	pieces := r.pieces
	var at [maxPieces + 1][maxPieces + 1]int32
	for j := 0; j <= pieces; j++ {
		for i := 0; i+j <= pieces; i++ {
			at[j][i] = -1
		}
	}
	at[0][0], at[0][pieces], at[pieces][0] = tri[0], tri[1], tri[2]
	s01 := r.side(f, t, 0, 1, sides)
	s12 := r.side(f, t, 1, 2, sides)
	s20 := r.side(f, t, 2, 0, sides)
	for k := 1; k < pieces; k++ {
		at[0][k] = s01[k-1]
		at[k][pieces-k] = s12[k-1]
		at[pieces-k][0] = s20[k-1]
	}
	for j := 0; j <= pieces; j++ {
		for i := 0; i+j <= pieces; i++ {
			if at[j][i] < 0 {
				at[j][i] = r.add(f, t, lattice(pieces, i, j))
			}
		}
	}
	for j := range pieces {
		for i := 0; i+j < pieces; i++ {
			r.tris = append(r.tris, [3]int32{at[j][i], at[j][i+1], at[j+1][i]})
			if i+j+1 < pieces {
				r.tris = append(r.tris, [3]int32{at[j][i+1], at[j+1][i+1], at[j+1][i]})
			}
		}
	}
}

func lattice(n, i, j int) [3]float64 {
	return [3]float64{float64(n-i-j) / float64(n), float64(i) / float64(n), float64(j) / float64(n)}
}

// side returns the points on the side from corner i to corner j of element t,
// in that order, made once for both elements.
func (r *refined) side(f *field.Family, t int32, i, j int, sides map[[2]int32][]int32) []int32 {
	tri := f.Mesh.Tris[t]
	a, b := tri[i], tri[j]
	key := [2]int32{min(a, b), max(a, b)}
	pts, ok := sides[key]
	if !ok {
		pts = make([]int32, r.pieces-1)
		for k := 1; k < r.pieces; k++ {
			u := float64(k) / float64(r.pieces)
			var l [3]float64
			l[i], l[j] = 1-u, u
			if a > b {
				l[i], l[j] = l[j], l[i]
			}
			pts[k-1] = r.add(f, t, l)
		}
		sides[key] = pts
	}
	if a < b {
		return pts
	}
	turned := make([]int32, len(pts))
	for k, p := range pts {
		turned[len(pts)-1-k] = p
	}
	return turned
}

// add appends the point of element t with the given barycentric coordinates.
func (r *refined) add(f *field.Family, t int32, l [3]float64) int32 {
	n := mesh.Shape(l)
	var p geom.Point
	v := 0.0
	for k, node := range f.Mesh.Tris[t] {
		p = p.Add(f.Mesh.Nodes[node].Scale(n[k]))
		v += n[k] * f.Phase[node]
	}
	r.nodes = append(r.nodes, p)
	r.values = append(r.values, v)
	return int32(len(r.nodes) - 1)
}

// rawLine is a level line as traced.
type rawLine struct {
	path  geom.Path
	level float64
}

// trace returns the level lines of one layer of the family, by rising level.
func trace(f *field.Family, r refined, shift float64) []rawLine {
	lv := levels(f, shift)
	var out []rawLine
	for i, paths := range geom.LevelLines(r.nodes, r.tris, r.values, lv) {
		for _, p := range paths {
			out = append(out, rawLine{p, lv[i]})
		}
	}
	return out
}
