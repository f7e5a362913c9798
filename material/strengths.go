package material

import (
	"cmp"
	"math"
	"slices"
)

// CompressionMechanisms holds what decides the compressive strength along the
// fibres.
type CompressionMechanisms struct {
	Shear        float64 // G12 of the bead, MPa
	MatrixShear  float64 // of the matrix between the inclusions, MPa
	YieldShear   float64 // shear yield stress of the matrix, MPa
	Misalignment float64 // of the fibres, rad
	Hardening    float64 // exponent n of Ramberg and Osgood; 0 means perfectly plastic
	Share        float64 // volume share of the inclusions
	Crush        float64 // MPa, stress at which the fibres crush; 0: does not govern
}

// Buckling is matrix-supported buckling in the shear mode: Gm/(1-c), Rosen
// (1965).
func (m CompressionMechanisms) Buckling() float64 { return m.MatrixShear / (1 - m.Share) }

// Kinking is plastic kinking of misaligned fibres: G/(1+phi/gamma_y) of
// Budiansky, Comput. Struct. 16 (1983) 3, for a perfectly plastic matrix, and
//
//	G/(1 + n·(3/7)^(1/n)·((phi/gamma_y)/(n-1))^((n-1)/n))
//
// of Budiansky & Fleck, J. Mech. Phys. Solids 41 (1993) 183, for a hardening
// one; gamma_y = YieldShear/Shear.
func (m CompressionMechanisms) Kinking() float64 {
	a := m.Misalignment * m.Shear / m.YieldShear
	n := m.Hardening
	if n <= 1 {
		return m.Shear / (1 + a)
	}
	return m.Shear / (1 + n*math.Pow(3.0/7, 1/n)*math.Pow(a/(n-1), (n-1)/n))
}

// Mechanism is one way to fail in compression along the fibres.
type Mechanism struct {
	Name   string  // "kinking", "buckling", "crushing"
	Stress float64 // at which it sets in, MPa
}

// List returns the mechanisms, the least stress, which governs, first; of
// equals in the order kinking, buckling, crushing. Crushing stands in it only
// where the filaments' crushing strain is known.
func (m CompressionMechanisms) List() []Mechanism {
	list := []Mechanism{{"kinking", m.Kinking()}, {"buckling", m.Buckling()}}
	if m.Crush > 0 {
		list = append(list, Mechanism{"crushing", m.Crush})
	}
	slices.SortStableFunc(list, func(a, b Mechanism) int { return cmp.Compare(a.Stress, b.Stress) })
	return list
}

// Least returns the least of the mechanisms, MPa.
func (m CompressionMechanisms) Least() float64 {
	x := math.Min(m.Buckling(), m.Kinking())
	if m.Crush > 0 {
		x = math.Min(x, m.Crush)
	}
	return x
}

// Argon is the kinking stress of a rigid, perfectly plastic matrix, tau/phi:
// Argon, Treatise Mater. Sci. Technol. 1 (1972) 79.
func Argon(yieldShear, misalignment float64) float64 { return yieldShear / misalignment }

// magnification is how much more the matrix between two inclusions strains
// than the body: Kies, NRL Report 5752 (1962),
//
//	1/(1 - (d/s)·(1 - M/F)), d/s = √(4c/π) for a square array, at most 1
func magnification(f, m, c float64) float64 {
	d := math.Sqrt(math.Min(1, c/squarePacking))
	return 1 / (1 - d*(1-m/f))
}

// voidFactor is the share of strength left by voids of share v of the body:
// 1 - √(4v/(π(1-c))), Chamis, NASA TM-83320 (1983).
func voidFactor(v, c float64) float64 {
	if v <= 0 {
		return 1
	}
	return math.Max(minVoidFactor, 1-math.Sqrt(v/(squarePacking*(1-c))))
}

// minVoidFactor keeps a strength positive where the formula has run out.
const minVoidFactor = 0.05
