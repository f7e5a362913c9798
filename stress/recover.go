package stress

import (
	"math"
	"slices"

	"sinew/geom"
	"sinew/internal/work"
	"sinew/mesh"
)

// patchPoints is the least number of integration points behind a recovered
// value: twice the six terms of the fit, so that no single point steers it.
const patchPoints = 12

// nTerms of the complete quadratic 1, x, y, x², xy, y².
const nTerms = 6

// Recovery holds, for each corner node, the elements around it from which
// its values are fitted.
type Recovery struct {
	mesh   *mesh.Mesh
	at     []geom.Point // integration points
	perTri int
	patch  [][]int32 // per node; nil for mid-side nodes
	ends   [][2]int32
	size   []float64
}

// NewRecovery prepares patch recovery on a mesh from values at integration
// points, perTri for each triangle.
func NewRecovery(m *mesh.Mesh, at []geom.Point, perTri int) *Recovery {
	n := len(m.Nodes)
	r := &Recovery{mesh: m, at: at, perTri: perTri, patch: make([][]int32, n), ends: make([][2]int32, n), size: make([]float64, n)}
	around := make([][]int32, n)
	for t, tri := range m.Tris {
		for k := range 3 {
			around[tri[k]] = append(around[tri[k]], int32(t))
			r.ends[tri[3+k]] = [2]int32{tri[k], tri[(k+1)%3]}
		}
	}
	for v := range n {
		if len(around[v]) == 0 {
			continue
		}
		r.ends[v] = [2]int32{int32(v), int32(v)}
		r.patch[v] = around[v]
		for grown := 0; perTri*len(r.patch[v]) < patchPoints && grown < 3; grown++ {
			r.patch[v] = r.grow(r.patch[v], around)
		}
		for _, t := range r.patch[v] {
			for _, k := range m.Tris[t] {
				r.size[v] = math.Max(r.size[v], m.Nodes[k].Dist(m.Nodes[v]))
			}
		}
	}
	return r
}

// grow returns the patch and all elements that share a corner with it.
func (r *Recovery) grow(patch []int32, around [][]int32) []int32 {
	var out []int32
	for _, t := range patch {
		for k := range 3 {
			out = append(out, around[r.mesh.Tris[t][k]]...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// fit is a quadratic around a corner node for three quantities.
type fit struct {
	center geom.Point
	scale  float64
	coef   [nTerms][3]float64
}

func (f *fit) at(p geom.Point) (v [3]float64) {
	x, y := (p.X-f.center.X)*f.scale, (p.Y-f.center.Y)*f.scale
	for i, m := range [nTerms]float64{1, x, y, x * x, x * y, y * y} {
		for k := range v {
			v[k] += m * f.coef[i][k]
		}
	}
	return v
}

// Nodal recovers values at the nodes from values at the integration points:
// least-squares quadratics over the patch of elements around each corner
// node; a mid-side node takes the mean of the two at its ends.
// Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 33 (1992) 1331.
func (r *Recovery) Nodal(values [][3]float64, workers int) [][3]float64 {
	fits := make([]fit, len(r.patch))
	work.Share(len(fits), workers, func(lo, hi int) {
		for v := lo; v < hi; v++ {
			if r.patch[v] != nil {
				fits[v] = r.fitAt(v, values)
			}
		}
	})
	out := make([][3]float64, len(r.patch))
	for n := range out {
		p := r.mesh.Nodes[n]
		a, b := fits[r.ends[n][0]].at(p), fits[r.ends[n][1]].at(p)
		for k := range a {
			out[n][k] = (a[k] + b[k]) / 2
		}
	}
	return out
}

func (r *Recovery) fitAt(v int, values [][3]float64) fit {
	f := fit{center: r.mesh.Nodes[v], scale: 1 / r.size[v]}
	var normal [nTerms][nTerms]float64
	for _, t := range r.patch[v] {
		for k := range r.perTri {
			i := int(t)*r.perTri + k
			p := r.at[i]
			x, y := (p.X-f.center.X)*f.scale, (p.Y-f.center.Y)*f.scale
			m := [nTerms]float64{1, x, y, x * x, x * y, y * y}
			for a := range m {
				for b := range a + 1 {
					normal[a][b] += m[a] * m[b]
				}
				for c := range 3 {
					f.coef[a][c] += m[a] * values[i][c]
				}
			}
		}
	}
	right := f.coef
	for _, terms := range [3]int{nTerms, 3, 1} { // fewer terms where the points do not tell more
		f.coef = right
		if solveNormal(&normal, &f.coef, terms) {
			break
		}
	}
	return f
}

// pivotShare of the largest diagonal is where a direction of the fit counts
// as not determined by the points.
const pivotShare = 1e-8

// solveNormal solves the leading block of the normal equations by Cholesky;
// the terms left out become zero.
func solveNormal(normal *[nTerms][nTerms]float64, x *[nTerms][3]float64, terms int) bool {
	var l [nTerms][nTerms]float64
	for i := range terms {
		for j := range i + 1 {
			sum := normal[i][j]
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			if i != j {
				l[i][j] = sum / l[j][j]
				continue
			}
			if !(sum > pivotShare*normal[0][0]) {
				return false
			}
			l[i][i] = math.Sqrt(sum)
		}
	}
	for c := range 3 {
		for i := range terms {
			for k := range i {
				x[i][c] -= l[i][k] * x[k][c]
			}
			x[i][c] /= l[i][i]
		}
		for i := terms - 1; i >= 0; i-- {
			for k := i + 1; k < terms; k++ {
				x[i][c] -= l[k][i] * x[k][c]
			}
			x[i][c] /= l[i][i]
		}
		for i := terms; i < nTerms; i++ {
			x[i][c] = 0
		}
	}
	return true
}

// Nodal recovers values at the nodes from values at the integration points by
// patch recovery; at the outline it is about one order better than the
// element's own.
func (s *System) Nodal(values [][3]float64) [][3]float64 {
	if s.recovery == nil {
		s.recovery = NewRecovery(s.elements.mesh, s.elements.at, PointsPerTri)
	}
	return s.recovery.Nodal(values, s.workers)
}

// Resultants returns the force per width (N/mm: 11, 22, 12) at the integration
// points, growth by temperature taken off.
func (s *System) Resultants(c *CaseSolution, sheet Sheet) [][3]float64 {
	out := make([][3]float64, len(c.Strain))
	for p, e := range c.Strain {
		a, n := sheet.StiffnessAt(p), sheet.thermalAt(p)
		out[p] = a.Mul(e)
		change := c.Heat.At(s.elements.at[p])
		for k := range n {
			out[p][k] -= change * n[k]
		}
	}
	return out
}

// NodalStress returns the stress at the nodes, mean over the part's thickness.
func (s *System) NodalStress(c *CaseSolution, sheet Sheet) [][3]float64 {
	n := s.Nodal(s.Resultants(c, sheet))
	for i := range n {
		thickness := s.part.Thickness
		if len(s.part.Slabs) > 0 { // a node on the rim belongs to both sides of it
			if t := s.part.ThicknessAt(s.elements.mesh.Nodes[i]); t > 0 {
				thickness = t
			}
		}
		for k := range n[i] {
			n[i][k] /= thickness
		}
	}
	return n
}

// Principal returns the principal values of a stress, greatest first, and the
// angle of the first from x, rad.
func Principal(t [3]float64) (s1, s2, angle float64) {
	mean, half := (t[0]+t[1])/2, (t[0]-t[1])/2
	r := math.Hypot(half, t[2])
	return mean + r, mean - r, math.Atan2(t[2], half) / 2
}
