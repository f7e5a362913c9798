package plate

import (
	"sinew/hold"
	"sinew/mesh"
)

// Displacements of a node, in order. A tilt is the displacement in the plane
// of a point one mm above the reference plane, relative to it: tiltX is a turn
// about y, tiltY one about -x.
const (
	dispU = hold.U
	dispV = hold.V
	dispW = hold.W
	tiltX = hold.TiltX
	tiltY = hold.TiltY
)

const (
	nodesPerTri = 6
	// dofsPerNode: u, v, w and the tilts of the normal towards x and y.
	dofsPerNode = hold.Bending
	dofsPerTri  = dofsPerNode * nodesPerTri
	// fullDofs adds the two tilts of the bubble, which an element keeps to itself.
	fullDofs = dofsPerTri + 2
	packed   = dofsPerTri * (dofsPerTri + 1) / 2
	// tilts counts the tilt shape functions: six nodes and the bubble.
	tilts = nodesPerTri + 1
	// shearColumns: deflection of six nodes, then both tilts of six nodes and bubble.
	shearColumns = nodesPerTri + 2*tilts
	ties         = 8 // parameters of the assumed shear strain
)

// PointsPerTri is the number of integration points of an element: index
// PointsPerTri*tri+k.
const PointsPerTri = 6

// rule holds area coordinates and weights (sum 1) that integrate polynomials
// of the fourth degree exactly: Strang & Fix, An Analysis of the Finite
// Element Method (1973), table 4.1; digits of Dunavant, Int. J. Numer. Methods
// Eng. 21 (1985) 1129.
var rule = func() (r [PointsPerTri]struct {
	at     [3]float64
	weight float64
}) {
	for g, orbit := range [2][2]float64{{0.445948490915965, 0.223381589678011}, {0.091576213509771, 0.109951743655322}} {
		a, w := orbit[0], orbit[1]
		for k := range 3 {
			b := [3]float64{a, a, a}
			b[k] = 1 - 2*a
			r[3*g+k].at, r[3*g+k].weight = b, w
		}
	}
	return r
}()

// shapeSlopes returns the derivatives of the six shape functions by the second
// and third area coordinate, the first being what is left of one.
func shapeSlopes(b [3]float64) (d1, d2 [nodesPerTri]float64) {
	d0 := 1 - 4*b[0]
	d1 = [nodesPerTri]float64{d0, 4*b[1] - 1, 0, 4 * (b[0] - b[1]), 4 * b[2], -4 * b[2]}
	d2 = [nodesPerTri]float64{d0, 0, 4*b[2] - 1, -4 * b[1], 4 * b[1], 4 * (b[0] - b[2])}
	return d1, d2
}

// bubble is the cubic that vanishes on all three sides, and its derivatives.
func bubble(b [3]float64) (v, d1, d2 float64) {
	return 27 * b[0] * b[1] * b[2], 27 * b[2] * (b[0] - b[1]), 27 * b[1] * (b[0] - b[2])
}

// sample is all that a place of the unit triangle needs, whatever the element.
type sample struct {
	n, d1, d2  [nodesPerTri]float64
	b, b1, b2  float64 // the bubble and its derivatives
	r1, r2     float64 // side direction in the unit triangle, of a tie on a side
	towards    [2][ties]float64
	areaWeight float64
}

func newSample(at [3]float64) sample {
	s := sample{n: mesh.Shape(at)}
	s.d1, s.d2 = shapeSlopes(at)
	s.b, s.b1, s.b2 = bubble(at)
	return s
}

// shearBasis returns the eight assumed shear strains (gamma_r, gamma_s) at r, s:
// all linear ones and (s, -r) times r and times s. This is the rotated space of
// Raviart and Thomas that holds the gradients of all quadratics, so that a
// deflection alone is never stiffened.
func shearBasis(r, s float64) (b [2][ties]float64) {
	b[0] = [ties]float64{1, r, s, 0, 0, 0, s * r, s * s}
	b[1] = [ties]float64{0, 0, 0, 1, r, s, -r * r, -r * s}
	return b
}

// tables are the constants of the element.
type tables struct {
	points [PointsPerTri]sample // integration points
	sides  [6]sample            // two Gauss points on each side, where the shear is tied
}

// gaussOffset of the two-point Gauss rule on (0, 1): (1 ± 1/√3)/2.
const gaussOffset = 0.21132486540518713

var constants = newTables()

// newTables ties the assumed shear to the one of the displacements: along each
// side at two Gauss points, and in its mean over the element. towards then
// gives the assumed strain at an integration point from the eight tied values.
func newTables() *tables {
	t := &tables{}
	var f [ties][ties]float64
	for side := range 3 {
		for g, c := range [2]float64{gaussOffset, 1 - gaussOffset} {
			var at [3]float64
			at[side], at[(side+1)%3] = 1-c, c
			s := newSample(at)
			s.r1 = [3]float64{1, -1, 0}[side]
			s.r2 = [3]float64{0, 1, -1}[side]
			b := shearBasis(at[1], at[2])
			for k := range ties {
				f[2*side+g][k] = s.r1*b[0][k] + s.r2*b[1][k]
			}
			t.sides[2*side+g] = s
		}
	}
	for p := range t.points {
		t.points[p] = newSample(rule[p].at)
		t.points[p].areaWeight = rule[p].weight
		b := shearBasis(rule[p].at[1], rule[p].at[2])
		for k := range ties {
			f[6][k] += rule[p].weight * b[0][k]
			f[7][k] += rule[p].weight * b[1][k]
		}
	}
	inv := invert(f)
	for p := range t.points {
		b := shearBasis(rule[p].at[1], rule[p].at[2])
		for d := range 2 {
			for j := range ties {
				for k := range ties {
					t.points[p].towards[d][j] += b[d][k] * inv[k][j]
				}
			}
		}
	}
	return t
}

// invert returns the inverse of a small regular matrix by Gauss and Jordan
// with row exchanges.
func invert(a [ties][ties]float64) (inv [ties][ties]float64) {
	for i := range inv {
		inv[i][i] = 1
	}
	for c := range ties {
		p := c
		for r := c + 1; r < ties; r++ {
			if abs(a[r][c]) > abs(a[p][c]) {
				p = r
			}
		}
		a[c], a[p], inv[c], inv[p] = a[p], a[c], inv[p], inv[c]
		d := a[c][c]
		for k := range ties {
			a[c][k] /= d
			inv[c][k] /= d
		}
		for r := range ties {
			if m := a[r][c]; r != c && m != 0 {
				for k := range ties {
					a[r][k] -= m * a[c][k]
					inv[r][k] -= m * inv[c][k]
				}
			}
		}
	}
	return inv
}

func abs(x float64) float64 { return max(x, -x) }
