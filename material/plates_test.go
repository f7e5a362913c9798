package material

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// plate is a simply supported rectangular plate of a cross-ply stack in
// first-order shear theory, solved by Navier's series: an independent use of
// A, B, D and the transverse shear stiffness.
type plate struct {
	stack *Laminate
	a, b  float64
}

// term is the stiffness of the wave (m, n) for the unknowns u, v, w and the
// two rotations.
func (p plate) term(m, n int) *mat.SymDense {
	x, y := float64(m)*math.Pi/p.a, float64(n)*math.Pi/p.b
	A, B, D := p.stack.Stiff.A, p.stack.Stiff.B, p.stack.Stiff.D
	h44, h55 := p.stack.Shear[0], p.stack.Shear[2]
	k := mat.NewSymDense(5, nil)
	for block, q := range []Stiffness{A, B, D} {
		i, j := []int{0, 0, 3}[block], []int{0, 3, 3}[block]
		set := func(r, c int, v float64) { k.SetSym(r, c, v) }
		set(i, j, q[0]*x*x+q[5]*y*y)
		set(i, j+1, (q[1]+q[5])*x*y)
		set(i+1, j, (q[1]+q[5])*x*y)
		set(i+1, j+1, q[5]*x*x+q[3]*y*y)
	}
	k.SetSym(2, 2, h55*x*x+h44*y*y)
	k.SetSym(2, 3, h55*x)
	k.SetSym(2, 4, h44*y)
	k.SetSym(3, 3, k.At(3, 3)+h55)
	k.SetSym(4, 4, k.At(4, 4)+h44)
	return k
}

// condensed is the stiffness against w alone, the others free to follow.
func (p plate) condensed(m, n int) float64 {
	var inverse mat.Dense
	if err := inverse.Inverse(p.term(m, n)); err != nil {
		return math.NaN()
	}
	return 1 / inverse.At(2, 2)
}

// sineDeflection is the centre deflection under a pressure q·sin·sin.
func (p plate) sineDeflection(q float64) float64 { return q / p.condensed(1, 1) }

// evenDeflection is the centre deflection under an even pressure.
func (p plate) evenDeflection(q float64, terms int) float64 {
	sum := 0.0
	for m := 1; m <= terms; m += 2 {
		for n := 1; n <= terms; n += 2 {
			load := 16 * q / (math.Pi * math.Pi * float64(m*n))
			sign := float64(1 - (m+n-2)%4) // sin(mπ/2)·sin(nπ/2)
			sum += sign * load / p.condensed(m, n)
		}
	}
	return sum
}

// evenMoment is the bending moment across y at the centre under an even
// pressure, of a plate alike in all directions and without shear's give.
func (p plate) evenMoment(q, nu float64, terms int) float64 {
	sum := 0.0
	for m := 1; m <= terms; m += 2 {
		for n := 1; n <= terms; n += 2 {
			x, y := float64(m)*math.Pi/p.a, float64(n)*math.Pi/p.b
			load := 16 * q / (math.Pi * math.Pi * float64(m*n))
			sign := float64(1 - (m+n-2)%4)
			sum += sign * load / p.condensed(m, n) * p.stack.Stiff.D[0] * (y*y + nu*x*x)
		}
	}
	return sum
}

// buckling is the least compressive force per width along x at which the plate
// buckles with one half-wave across.
func (p plate) buckling(waves int) float64 {
	least := math.Inf(1)
	for m := 1; m <= waves; m++ {
		x := float64(m) * math.Pi / p.a
		least = math.Min(least, p.condensed(m, 1)/(x*x))
	}
	return least
}

// frequency is the lowest circular frequency, rotary inertia included, for a
// mass density; the generalised eigenvalue is turned to an ordinary one by the
// diagonal inertia.
func (p plate) frequency(density float64) float64 {
	k := p.term(1, 1)
	h := p.stack.Thickness
	inertia := []float64{density * h, density * h, density * h, density * h * h * h / 12, density * h * h * h / 12}
	for i := range 5 {
		for j := i; j < 5; j++ {
			k.SetSym(i, j, k.At(i, j)/math.Sqrt(inertia[i]*inertia[j]))
		}
	}
	var e mat.EigenSym
	if !e.Factorize(k, false) {
		return math.NaN()
	}
	return math.Sqrt(e.Values(nil)[0])
}

// thin makes a plate of classical theory: shear stiffness so large that it does
// not give.
func thin(l *Laminate) *Laminate {
	r := *l
	for i := range r.Shear {
		r.Shear[i] *= 1e8 // the shear part of the deflection falls below 1e-7
	}
	return &r
}
