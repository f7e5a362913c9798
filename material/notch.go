package material

import "math"

// Notch holds the characteristic distances of the two stress criteria at
// holes, mm; 0 means DefaultPoint and DefaultAverage.
type Notch struct{ Point, Average float64 }

// The distances that Whitney & Nuismer fitted to a glass/epoxy and a
// carbon/epoxy quasi-isotropic laminate, 0.04 and 0.15 in; from memory. A
// printed bead needs its own, from open-hole coupons.
const (
	DefaultPoint   = 1.016
	DefaultAverage = 3.81
)

// OrDefault puts the defaults where a distance is not stated.
func (n Notch) OrDefault() Notch {
	if n.Point == 0 {
		n.Point = DefaultPoint
	}
	if n.Average == 0 {
		n.Average = DefaultAverage
	}
	return n
}

// OpenHole is the stress concentration at a circular hole in a wide plate
// pulled along x: gross stress at the flank over the far stress, Lekhnitskii,
// Anisotropic Plates (1968):
//
//	Kt = 1 + √(2·(√(Ex/Ey) - nuxy) + Ex/Gxy)
func OpenHole(c Constants) float64 {
	return 1 + math.Sqrt(math.Max(0, 2*(math.Sqrt(c.Ex/c.Ey)-c.Nuxy)+c.Ex/c.Gxy))
}

// HoleFront is the stress on the load axis at the same hole over the far
// stress, -√(Ey/Ex).
func HoleFront(c Constants) float64 { return -math.Sqrt(c.Ey / c.Ex) }

// FiniteWidth is Kt of a strip over that of a wide plate for a hole of ratio
// diameter over width: Tan, J. Compos. Mater. 22 (1988) 1080. Finite elements
// show it up to 4 % high along the fibres of a strongly orthotropic strip and
// up to 10 % low across them.
//
//	K∞/K = 3(1-x)/(2+(1-x)³) + (x·M)⁶·(K∞-3)·(1-(x·M)²)/2
//	M²   = [√(1 - 8·(3(1-x)/(2+(1-x)³) - 1)) - 1]/(2x²)
func FiniteWidth(kt, ratio float64) float64 {
	if ratio <= 0 {
		return 1
	}
	free := 1 - ratio
	isotropic := 3 * free / (2 + free*free*free)
	xm2 := (math.Sqrt(1-8*(isotropic-1)) - 1) / 2
	return 1 / (isotropic + xm2*xm2*xm2*(kt-3)*(1-xm2)/2)
}

// PointStress is the share of the unnotched strength that a wide plate with a
// hole of a radius keeps, when it fails as the stress at a distance from the
// edge reaches the strength: Whitney & Nuismer, J. Compos. Mater. 8 (1974)
// 253, with kt of OpenHole:
//
//	2/(2 + x² + 3x⁴ - (Kt-3)(5x⁶ - 7x⁸)),  x = R/(R+d0)
//
// For very high kt the stress series has its peak inside the plate and the
// formula leaves 1/Kt..1; it is held to this range.
func PointStress(kt, radius, distance float64) float64 {
	x := radius / (radius + distance)
	x2 := x * x
	x6 := x2 * x2 * x2
	d := 2 + x2 + 3*x2*x2 - (kt-3)*(5*x6-7*x6*x2)
	return clampNotch(2/d, kt)
}

// AverageStress is PointStress for the mean stress over a distance from the
// edge:
//
//	2(1-x)/(2 - x² - x⁴ + (Kt-3)(x⁶ - x⁸)),  x = R/(R+a0)
func AverageStress(kt, radius, distance float64) float64 {
	x := radius / (radius + distance)
	if x >= 1 {
		return 1 / kt
	}
	x2 := x * x
	x6 := x2 * x2 * x2
	return clampNotch(2*(1-x)/(2-x2-x2*x2+(kt-3)*(x6-x6*x2)), kt)
}

func clampNotch(share, kt float64) float64 {
	if share < 0 || share > 1 {
		return 1
	}
	return math.Max(share, math.Min(1, 1/kt))
}
