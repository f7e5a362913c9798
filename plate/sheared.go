package plate

// Sheared is Interlaminar from the plate's shear forces instead of the gradients
// of its stresses: layers that end, and edges, do not disturb it. The shear
// force along x is taken for the growth of the moment about y alone, that along
// y alike (two cylindrical bendings), and each layer takes what the local stack
// gives it:
//
//	(ε, κ),x = (A B; B D)⁻¹ (0; Q_x, 0, 0),  τ(z) = -∫ div σ dz from the lower face
//
// Rolfes & Rohwer, Int. J. Numer. Methods Eng. 40 (1997) 51 (from memory). Exact
// for a beam; twisting moments that grow are counted as bending ones.
func (s *System) Sheared(c *CaseSolution, section *Section, stack *Stack) Interlaminar {
	n := len(c.Strain)
	out := Interlaminar{Middle: make([][][2]float64, len(stack.Layers)), Top: make([][][2]float64, len(stack.Layers))}
	for i := range stack.Layers {
		out.Middle[i], out.Top[i] = make([][2]float64, n), make([][2]float64, n)
	}
	forces := s.Resultants(c, section)
	for p := range n {
		inverse, ok := section.at(p).abd.Inverse()
		if !ok { // nothing is there
			continue
		}
		var strain, curvature [2][3]float64 // their growth along x and along y
		for k := range 2 {
			var moment [3]float64
			moment[k] = forces[p][6+k]
			strain[k], curvature[k] = inverse.Mul([3]float64{}, moment)
		}
		var sum [2]float64
		for i := range stack.Layers {
			y := &stack.Layers[i]
			stiff, low, high := pick(y.Stiff, p), pick(y.Bottom, p), pick(y.Top, p)
			divergence := func(z float64) [2]float64 {
				var grown [2][3]float64
				for k := range 2 {
					var e [3]float64
					for d := range e {
						e[d] = strain[k][d] + z*curvature[k][d]
					}
					grown[k] = stiff.Mul(e)
				}
				return [2]float64{grown[0][0] + grown[1][2], grown[0][2] + grown[1][1]}
			}
			a, b, h := divergence(low), divergence(high), high-low
			for k := range 2 {
				out.Middle[i][p][k] = sum[k] - h*(3*a[k]+b[k])/8
				sum[k] -= h * (a[k] + b[k]) / 2
				out.Top[i][p][k] = sum[k]
			}
		}
	}
	return out
}
