package plate

import (
	"fmt"

	"sinew/geom"
	"sinew/mesh"
)

// A shaped element holds what its shape makes of the strains at its
// integration points. Element displacements are numbered dofsPerNode·node + c,
// the bubble's tilts last.
type shaped struct {
	slope  [PointsPerTri][nodesPerTri][2]float64 // of the shape functions, by x and y
	bubble [PointsPerTri][2]float64
	// shear is the assumed transverse shear strain, xz and yz, of a unit of each
	// column: deflections, tilts towards x, tilts towards y.
	shear  [PointsPerTri][2][shearColumns]float64
	weight [PointsPerTri]float64 // area, mm²
}

// jacobian returns the derivatives of the place by the second and third area
// coordinate.
func jacobian(nodes *[nodesPerTri]geom.Point, s *sample) (xr, yr, xs, ys float64) {
	for i, p := range nodes {
		xr += s.d1[i] * p.X
		yr += s.d1[i] * p.Y
		xs += s.d2[i] * p.X
		ys += s.d2[i] * p.Y
	}
	return
}

// shape fills e for the nodes of an element; it reports false for a folded one.
//
// Along the side directions of the unit triangle the shear strain is
//
//	gamma_r = w,r + bx·x,r + by·y,r
//
// with tilts b that hold a cubic bubble besides the six nodes. It is tied at
// the places of tables to its assumed form, and that turned to x and y: the
// seven-node element of Bathe, Brezzi & Cho, Comput. Struct. 32 (1989) 797,
// after Brezzi, Bathe & Fortin, Int. J. Numer. Methods Eng. 28 (1989) 1787,
// whose bubble is eliminated. In these components the tie holds for curved
// sides as well.
func (e *shaped) shape(nodes *[nodesPerTri]geom.Point) bool {
	var tied [ties][shearColumns]float64
	for k := range constants.sides {
		s := &constants.sides[k]
		xr, yr, xs, ys := jacobian(nodes, s)
		addTie(&tied[k], s, s.r1, s.r2, s.r1*xr+s.r2*xs, s.r1*yr+s.r2*ys, 1)
	}
	for p := range constants.points {
		s := &constants.points[p]
		xr, yr, xs, ys := jacobian(nodes, s)
		det := xr*ys - yr*xs
		if !(det > 0) {
			return false
		}
		addTie(&tied[6], s, 1, 0, xr, yr, s.areaWeight)
		addTie(&tied[7], s, 0, 1, xs, ys, s.areaWeight)
		e.weight[p] = det / 2 * s.areaWeight
		rx, sx, ry, sy := ys/det, -yr/det, -xs/det, xr/det
		for i := range nodes {
			e.slope[p][i] = [2]float64{rx*s.d1[i] + sx*s.d2[i], ry*s.d1[i] + sy*s.d2[i]}
		}
		e.bubble[p] = [2]float64{rx*s.b1 + sx*s.b2, ry*s.b1 + sy*s.b2}
	}
	for p := range constants.points {
		s := &constants.points[p]
		xr, yr, xs, ys := jacobian(nodes, s)
		det := xr*ys - yr*xs
		rx, sx, ry, sy := ys/det, -yr/det, -xs/det, xr/det
		for c := range shearColumns {
			r, t := 0.0, 0.0
			for k := range ties {
				r += s.towards[0][k] * tied[k][c]
				t += s.towards[1][k] * tied[k][c]
			}
			e.shear[p][0][c] = rx*r + sx*t
			e.shear[p][1][c] = ry*r + sy*t
		}
	}
	return true
}

// addTie adds w times the shear strain of the displacements at a place, along
// (r1, r2) of the unit triangle, which is (x, y) in the part.
func addTie(row *[shearColumns]float64, s *sample, r1, r2, x, y, w float64) {
	for i := range nodesPerTri {
		row[i] += w * (r1*s.d1[i] + r2*s.d2[i])
		row[nodesPerTri+i] += w * s.n[i] * x
		row[nodesPerTri+tilts+i] += w * s.n[i] * y
	}
	row[nodesPerTri+nodesPerTri] += w * s.b * x
	row[nodesPerTri+tilts+nodesPerTri] += w * s.b * y
}

// A column is what a unit of one displacement adds to the eight strains at a
// point: up to five entries, those of a deflection in a deflected plate.
type column struct {
	n     int
	index [maxEntries]int8
	value [maxEntries]float64
}

const maxEntries = 5

// strains of a plate, in order: membrane 11, 22, 12; curvature 11, 22, 12;
// transverse shear xz, yz.
const strains = 8

// columnsTo writes the strain of each displacement of the element at point p.
func (e *shaped) columnsTo(c *[fullDofs]column, p int) {
	sh := &e.shear[p]
	for i := range nodesPerTri {
		x, y := e.slope[p][i][0], e.slope[p][i][1]
		d := dofsPerNode * i
		c[d] = column{2, [maxEntries]int8{0, 2}, [maxEntries]float64{x, y}}
		c[d+1] = column{2, [maxEntries]int8{1, 2}, [maxEntries]float64{y, x}}
		c[d+2] = column{2, [maxEntries]int8{6, 7}, [maxEntries]float64{sh[0][i], sh[1][i]}}
		e.tiltTo(&c[d+3], &c[d+4], p, i, x, y)
	}
	e.tiltTo(&c[dofsPerTri], &c[dofsPerTri+1], p, nodesPerTri, e.bubble[p][0], e.bubble[p][1])
}

func (e *shaped) tiltTo(cx, cy *column, p, i int, x, y float64) {
	sh := &e.shear[p]
	a, b := nodesPerTri+i, nodesPerTri+tilts+i
	*cx = column{4, [maxEntries]int8{3, 5, 6, 7}, [maxEntries]float64{x, y, sh[0][a], sh[1][a]}}
	*cy = column{4, [maxEntries]int8{4, 5, 6, 7}, [maxEntries]float64{y, x, sh[0][b], sh[1][b]}}
}

// full is the lower triangle, by rows, of an element's matrix with the bubble.
type full [fullDofs * (fullDofs + 1) / 2]float64

func (k *full) at(i, j int) float64 { return k[i*(i+1)/2+j] }

// stiffnessTo writes the sum over the points of w·Bᵀ·C·B.
func (e *shaped) stiffnessTo(k *full, s *Section, t int) {
	*k = full{}
	var c [fullDofs]column
	for p := range PointsPerTri {
		law := s.at(t*PointsPerTri + p)
		e.columnsTo(&c, p)
		k.add(&law, &c, e.weight[p])
	}
}

// add adds w·Bᵀ·C·B of the columns of B. The products are written out by the
// kind of displacement, whose strains are known: u has 0 and 2, v 1 and 2, w 6
// and 7, in a deflected plate 0, 1 and 2 besides, the tilts 3 or 4, and 5, 6, 7.
func (k *full) add(l *law, c *[fullDofs]column, w float64) {
	m := l.matrix(w)
	for j := range c {
		f := m.times(&c[j])
		for node := j / dofsPerNode; node < nodesPerTri; node++ {
			e := (*[dofsPerNode]column)(c[dofsPerNode*node:])
			u, v, w, x, y := &e[dispU].value, &e[dispV].value, &e[dispW].value, &e[tiltX].value, &e[tiltY].value
			sum := [dofsPerNode]float64{
				u[0]*f[0] + u[1]*f[2],
				v[0]*f[1] + v[1]*f[2],
				w[0]*f[6] + w[1]*f[7],
				x[0]*f[3] + x[1]*f[5] + x[2]*f[6] + x[3]*f[7],
				y[0]*f[4] + y[1]*f[5] + y[2]*f[6] + y[3]*f[7],
			}
			if e[dispW].n == maxEntries {
				sum[dispW] += w[2]*f[0] + w[3]*f[1] + w[4]*f[2]
			}
			for d := max(0, j-dofsPerNode*node); d < dofsPerNode; d++ {
				i := dofsPerNode*node + d
				k[i*(i+1)/2+j] += sum[d]
			}
		}
		for i := max(dofsPerTri, j); i < fullDofs; i++ { // the bubble's tilts
			v, own := &c[i].value, 3+i-dofsPerTri
			k[i*(i+1)/2+j] += v[0]*f[own] + v[1]*f[5] + v[2]*f[6] + v[3]*f[7]
		}
	}
}

// strainAt returns the strains at point p of the element's displacements.
func (e *shaped) strainAt(p int, u *[fullDofs]float64) (s [strains]float64) {
	var c [fullDofs]column
	e.columnsTo(&c, p)
	for j := range c {
		for k := range c[j].n {
			s[c[j].index[k]] += c[j].value[k] * u[j]
		}
	}
	return s
}

// addInternal adds to f the element's forces of stress resultants at point p.
func (e *shaped) addInternal(f *[fullDofs]float64, p int, resultant *[strains]float64) {
	var c [fullDofs]column
	e.columnsTo(&c, p)
	addColumns(f, &c, resultant, e.weight[p])
}

// addColumns adds w·Bᵀ·resultant.
func addColumns(f *[fullDofs]float64, c *[fullDofs]column, resultant *[strains]float64, w float64) {
	for j := range c {
		sum := 0.0
		for k := range c[j].n {
			sum += c[j].value[k] * resultant[c[j].index[k]]
		}
		f[j] += w * sum
	}
}

// condensed is how the bubble follows the nodes: b = K_bb⁻¹·(f_b - K_be·u).
type condensed struct {
	inverse [3]float64 // 00, 10, 11 of K_bb⁻¹
	row     [2][dofsPerTri]float64
}

// condense eliminates the bubble from k; the lower triangle of what is left
// goes to out.
func (k *full) condense(out *[packed]float64) (c condensed) {
	a, b, d := k.at(dofsPerTri, dofsPerTri), k.at(dofsPerTri+1, dofsPerTri), k.at(dofsPerTri+1, dofsPerTri+1)
	det := a*d - b*b
	c.inverse = [3]float64{d / det, -b / det, a / det}
	for j := range dofsPerTri {
		c.row[0][j], c.row[1][j] = k.at(dofsPerTri, j), k.at(dofsPerTri+1, j)
	}
	n := 0
	for i := range dofsPerTri {
		p, q := c.solve(c.row[0][i], c.row[1][i])
		for j := range i + 1 {
			out[n] = k[n] - p*c.row[0][j] - q*c.row[1][j]
			n++
		}
	}
	return c
}

func (c *condensed) solve(p, q float64) (x, y float64) {
	return c.inverse[0]*p + c.inverse[1]*q, c.inverse[1]*p + c.inverse[2]*q
}

// bubble returns the bubble's tilts for the nodes' displacements in u and the
// forces fb on the bubble.
func (c *condensed) bubble(u *[fullDofs]float64, fb [2]float64) (x, y float64) {
	p, q := fb[0], fb[1]
	for j := range dofsPerTri {
		p -= c.row[0][j] * u[j]
		q -= c.row[1][j] * u[j]
	}
	return c.solve(p, q)
}

// elements are the triangles of a mesh with their integration points.
type elements struct {
	mesh   *mesh.Mesh
	at     []geom.Point
	weight []float64
}

func newElements(m *mesh.Mesh) (*elements, error) {
	n := len(m.Tris)
	e := &elements{mesh: m, at: make([]geom.Point, n*PointsPerTri), weight: make([]float64, n*PointsPerTri)}
	var s shaped
	for t := range m.Tris {
		if !e.shapeTo(&s, t) {
			p := m.Nodes[m.Tris[t][0]]
			return nil, fmt.Errorf("element %d at (%g, %g) is folded or empty: refine the mesh there", t, p.X, p.Y)
		}
		for p := range PointsPerTri {
			e.at[t*PointsPerTri+p] = m.At(t, rule[p].at)
			e.weight[t*PointsPerTri+p] = s.weight[p]
		}
	}
	return e, nil
}

func (e *elements) shapeTo(s *shaped, t int) bool {
	var nodes [nodesPerTri]geom.Point
	for i, n := range e.mesh.Tris[t] {
		nodes[i] = e.mesh.Nodes[n]
	}
	return s.shape(&nodes)
}

// gather returns the displacements of an element's nodes.
func (e *elements) gather(t int, u []float64) (out [fullDofs]float64) {
	for i, n := range e.mesh.Tris[t] {
		copy(out[dofsPerNode*i:dofsPerNode*i+dofsPerNode], u[dofsPerNode*n:])
	}
	return out
}
