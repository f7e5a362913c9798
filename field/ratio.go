package field

import "math"

// evenAngles are those of quasi-isotropic fibre, rad.
var evenAngles = [...]float64{0, math.Pi / 4, math.Pi / 2, -math.Pi / 4}

// judgeEven finds the indices of quasi-isotropic fibre cut from a plate: it
// holds as much tow as the mix that the search starts from, in as many layers.
func (x *exchange) judgeEven() error {
	layers := make([]int, len(x.set.Families))
	for k, r := range x.set.Families {
		layers[k] = r.Layers
	}
	length := 0.0
	for i, n := range x.split(layers) {
		length += float64(n) * x.plies[i].Length
	}
	total := sum(layers)
	n := len(x.in.System.Points())
	rho := length / (x.in.Part.Region.Area() * float64(total))
	plies := make([]Ply, len(evenAngles))
	// A quarter of each direction, whatever the number of layers: as many layers
	// of each as there are in all, each a quarter as thick.
	in := *x.in
	in.Stack.Share = make([]float64, n)
	for i := range n {
		in.Stack.Share[i] = x.in.Stack.shareAt(i) / float64(len(evenAngles))
	}
	for d, a := range evenAngles {
		sin, cos := math.Sincos(a)
		y := Ply{Layers: total, Rho: make([]float64, n), Cos: make([]float64, n), Sin: make([]float64, n)}
		for i := range n {
			y.Rho[i], y.Cos[i], y.Sin[i] = rho, cos, sin
		}
		plies[d] = y
	}
	j := *x.judge
	j.in = &in
	s, err := j.printed(x.ctx, plies, nil)
	x.even = s.Cases
	return err
}

// harmless is the share of the index that governs under all cases below which
// quasi-isotropic fibre's index of a mode counts as that share: what is that
// far from failing may fall behind.
const harmless = 1.0 / 3

// lag is the logarithm of the greatest index against that of quasi-isotropic
// fibre, over modes and cases: below 0 the mix is ahead in all of them.
func (x *exchange) lag(s Score) float64 {
	governs := leastIndex
	for _, c := range x.even {
		for _, v := range c {
			governs = math.Max(governs, v)
		}
	}
	worst := math.Inf(-1)
	for c, modes := range s.Cases {
		for m, v := range modes {
			worst = math.Max(worst, math.Log(math.Max(leastIndex, v)/math.Max(harmless*governs, x.even[c][m])))
		}
	}
	return worst
}
