package stress

import (
	"math/cmplx"

	"sinew/geom"
	"sinew/hold"
	"sinew/material"
)

// exact is a closed-form plane-stress field: displacement, mm, and strain (11,
// 22, engineering 12) at a place.
type exact struct {
	move   func(p geom.Point) geom.Point
	strain func(p geom.Point) [3]float64
}

func complexOf(p geom.Point) complex128 { return complex(p.X, p.Y) }

// potential is an analytic function with its first two derivatives.
type potential func(z complex128) (f, df, ddf complex128)

// kolosov is the isotropic field of two analytic functions (N. I. Muskhelishvili,
// Some Basic Problems of the Mathematical Theory of Elasticity, §§ 32, 41):
//
//	2μ(u+iv) = κφ − z·conj(φ') − conj(ψ)
//	σ11 + σ22 = 4 Re φ',  σ22 − σ11 + 2i σ12 = 2(conj(z)·φ'' + ψ')
//
// κ = (3−ν)/(1+ν) in plane stress. It solves the equations without body force.
func kolosov(e, nu float64, phi, psi potential) exact {
	mu, kappa := e/(2*(1+nu)), (3-nu)/(1+nu)
	return exact{
		move: func(p geom.Point) geom.Point {
			z := complexOf(p)
			f, df, _ := phi(z)
			g, _, _ := psi(z)
			w := (complex(kappa, 0)*f - z*cmplx.Conj(df) - cmplx.Conj(g)) / complex(2*mu, 0)
			return geom.Point{X: real(w), Y: imag(w)}
		},
		strain: func(p geom.Point) [3]float64 {
			z := complexOf(p)
			_, df, ddf := phi(z)
			_, dg, _ := psi(z)
			sum, diff := 4*real(df), 2*(cmplx.Conj(z)*ddf+dg)
			s := [3]float64{(sum - real(diff)) / 2, (sum + real(diff)) / 2, imag(diff) / 2}
			return [3]float64{(s[0] - nu*s[1]) / e, (s[1] - nu*s[0]) / e, s[2] / mu}
		},
	}
}

// lekhnitskii is the field of an orthotropic sheet along its own axes from two
// functions of z_k = x + μ_k·y, where μ_k are the roots of
//
//	a11 μ⁴ + (2 a12 + a66) μ² + a22 = 0
//
// (S. G. Lekhnitskii, Anisotropic Plates, 1968, §§ 7, 8; a are the compliances).
func lekhnitskii(l material.Lamina, phi func(k int, mu, other, z complex128) (f, df complex128)) exact {
	a11, a22, a12, a66 := complex(1/l.E1, 0), complex(1/l.E2, 0), complex(-l.Nu12/l.E1, 0), complex(1/l.G12, 0)
	mu := roots(l)
	each := func(p geom.Point, add func(mu, f, df complex128)) {
		for k, m := range mu {
			f, df := phi(k, m, mu[1-k], complex(p.X, 0)+m*complex(p.Y, 0))
			add(m, f, df)
		}
	}
	return exact{
		move: func(p geom.Point) geom.Point {
			var u geom.Point
			each(p, func(m, f, _ complex128) {
				u.X += 2 * real((a11*m*m+a12)*f)
				u.Y += 2 * real((a12*m+a22/m)*f)
			})
			return u
		},
		strain: func(p geom.Point) [3]float64 {
			var s [3]complex128
			each(p, func(m, _, df complex128) {
				s[0] += complex(2*real(m*m*df), 0)
				s[1] += complex(2*real(df), 0)
				s[2] -= complex(2*real(m*df), 0)
			})
			return [3]float64{real(a11*s[0] + a12*s[1]), real(a12*s[0] + a22*s[1]), real(a66 * s[2])}
		},
	}
}

// roots returns the two characteristic roots in the upper half-plane.
func roots(l material.Lamina) [2]complex128 {
	b := complex(l.E1/l.G12-2*l.Nu12, 0)
	d := cmplx.Sqrt(b*b - complex(4*l.E1/l.E2, 0))
	var mu [2]complex128
	for k, sq := range [2]complex128{(-b + d) / 2, (-b - d) / 2} {
		if mu[k] = cmplx.Sqrt(sq); imag(mu[k]) < 0 {
			mu[k] = -mu[k]
		}
	}
	return mu
}

// turned is the field turned about the origin.
func (e exact) turned(angle float64) exact {
	d, back := hold.Direction(angle), hold.Direction(-angle)
	spin := func(p, d geom.Point) geom.Point {
		return geom.Point{X: p.X*d.X - p.Y*d.Y, Y: p.X*d.Y + p.Y*d.X}
	}
	return exact{
		move: func(p geom.Point) geom.Point { return spin(e.move(spin(p, back)), d) },
		strain: func(p geom.Point) [3]float64 {
			return material.TurnStrain(e.strain(spin(p, back)), -angle)
		},
	}
}

func (e exact) plus(o exact) exact {
	return exact{
		move: func(p geom.Point) geom.Point { return e.move(p).Add(o.move(p)) },
		strain: func(p geom.Point) [3]float64 {
			a, b := e.strain(p), o.strain(p)
			for k := range a {
				a[k] += b[k]
			}
			return a
		},
	}
}

// power is c·zⁿ.
func power(c complex128, n float64) potential {
	return func(z complex128) (f, df, ddf complex128) {
		term := func(c complex128, n float64) complex128 {
			if c == 0 {
				return 0 // also where zⁿ is not finite
			}
			return c * cmplx.Pow(z, complex(n, 0))
		}
		k := complex(n, 0)
		return term(c, n), term(c*k, n-1), term(c*k*(k-1), n-2)
	}
}

// sum adds potentials.
func sum(list ...potential) potential {
	return func(z complex128) (f, df, ddf complex128) {
		for _, p := range list {
			a, b, c := p(z)
			f, df, ddf = f+a, df+b, ddf+c
		}
		return f, df, ddf
	}
}

// exponential is c·exp(k·z).
func exponential(c, k complex128) potential {
	return func(z complex128) (f, df, ddf complex128) {
		f = c * cmplx.Exp(k*z)
		return f, k * f, k * k * f
	}
}

// pole is c/(z−at).
func pole(c, at complex128) potential {
	return func(z complex128) (f, df, ddf complex128) {
		r := 1 / (z - at)
		return c * r, -c * r * r, 2 * c * r * r * r
	}
}

// logarithm is c·z·ln z.
func logarithm(c complex128) potential {
	return func(z complex128) (f, df, ddf complex128) {
		l := cmplx.Log(z)
		return c * z * l, c * (l + 1), c / z
	}
}

// kirsch is a plate under a tension of one along x with a hole of radius r at
// the origin (G. Kirsch 1898; Muskhelishvili § 56a).
func kirsch(e, nu, r float64) exact {
	c := complex(r*r, 0)
	return kolosov(e, nu,
		sum(power(0.25, 1), pole(c/2, 0)),
		sum(power(-0.5, 1), pole(-c/2, 0), power(c*c/2, -3)))
}

// orthotropicHole is the same for an orthotropic plate, tension of one along
// the first axis (Lekhnitskii § 38): outside the hole Φ_k = A_k/ζ_k with
// z_k = r/2·[(1−iμ_k)ζ + (1+iμ_k)/ζ], A1 = −A2 = −i·r/(2(μ1−μ2)).
func orthotropicHole(l material.Lamina, r float64) exact {
	hole := lekhnitskii(l, func(k int, mu, other, z complex128) (f, df complex128) {
		a := -1i * complex(r, 0) / (2 * (mu - other))
		root := cmplx.Sqrt(z*z - complex(r*r, 0)*(1+mu*mu))
		zeta := (z + root) / (complex(r, 0) * (1 - 1i*mu))
		if cmplx.Abs(zeta) < 1-1e-9 { // on the hole it is one but for rounding
			root = -root
			zeta = (z + root) / (complex(r, 0) * (1 - 1i*mu))
		}
		return a / zeta, -a / (zeta * root)
	})
	return hole.plus(exact{
		move: func(p geom.Point) geom.Point {
			return geom.Point{X: p.X / l.E1, Y: -l.Nu12 / l.E1 * p.Y}
		},
		strain: func(geom.Point) [3]float64 { return [3]float64{1 / l.E1, -l.Nu12 / l.E1, 0} },
	})
}

// weight is what a body force alone does, ρ·g along −y (N/mm³): σ22 = ρg·y.
func weight(e, nu, rho float64) exact {
	k := rho / e
	return exact{
		move: func(p geom.Point) geom.Point {
			return geom.Point{X: -nu * k * p.X * p.Y, Y: k / 2 * (p.Y*p.Y + nu*p.X*p.X)}
		},
		strain: func(p geom.Point) [3]float64 { return [3]float64{-nu * k * p.Y, k * p.Y, 0} },
	}
}
