package field

import (
	"context"
	"math"

	"sinew/geom"
	"sinew/part"
	"sinew/stress"
)

// Ply is what some alike layers of a lay-up hold at the points of the system
// once their strands are drawn.
type Ply struct {
	Family int
	Layers int       // how many layers are alike
	Rho    []float64 // strands per mm, 0 where plastic lies
	// Cos and Sin of the direction, undefined where Rho is 0.
	Cos, Sin []float64
	Length   float64 // of the strands of one layer, mm
}

// Draw draws the strands of a lay-up and maps them back to the points of the
// system. Plan judges its choices by it, so that what a strand cannot follow
// counts.
type Draw func(ctx context.Context, l *Layup) ([]Ply, error)

// sheet adds the plies up, the covers too; layers gives the number of each,
// nil as they are.
func (k *Stack) sheetOf(plies []Ply, layers []int) stress.Sheet {
	s := k.bare(len(plies[0].Rho))
	plain := k.plain()
	for j := range plies {
		y := &plies[j]
		count := y.Layers
		if layers != nil {
			count = layers[j]
		}
		whole := float64(count) * k.Law.Height()
		if whole == 0 {
			continue
		}
		for i, rho := range y.Rho {
			t := whole * k.shareAt(i)
			if rho == 0 {
				plain.addTo(&s, i, t, k.PlasticDensity)
				continue
			}
			k.fibreAt(rho, y.Cos[i], y.Sin[i]).addTo(&s, i, t, k.Law.Composition(rho).Density)
		}
	}
	return s
}

// printed solves the plate with drawn layers and judges them; layers gives the
// number of each ply, nil as they are.
func (j *judge) printed(ctx context.Context, plies []Ply, layers []int) (Score, error) {
	sol, err := j.in.System.Respond(ctx, j.in.Stack.sheetOf(plies, layers))
	if err != nil {
		return Score{}, err
	}
	s := Score{Flexibility: j.flexibility(sol)}
	for c := range sol.Cases {
		var one Score
		for k := range plies {
			if plies[k].Layers == 0 || layers != nil && layers[k] == 0 {
				continue
			}
			j.addPly(&one, &plies[k], c, sol.Cases[c].Strain)
			rho := plies[k].Rho
			j.addPlastic(&one, c, sol.Cases[c].Strain, func(i int) bool { return rho[i] == 0 && j.in.Stack.shareAt(i) > 0 })
		}
		if j.in.Stack.Covers > 0 {
			j.addPlastic(&one, c, sol.Cases[c].Strain, func(i int) bool { return j.in.Stack.coverShareAt(i) > 0 })
		}
		fibre, matrix := one.logs()
		s.Alike += (fibre + matrix) / float64(len(sol.Cases))
		s.Cases = append(s.Cases, one.modes())
		s.with(one)
	}
	return s, nil
}

// addPly raises the score to the indices of a ply under a case. Means are over
// those points of a disc that hold strands.
func (j *judge) addPly(s *Score, y *Ply, c int, strain [][3]float64) {
	n := len(y.Rho)
	v := [3][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	holds := make([]float64, n)
	for i, rho := range y.Rho {
		if rho > 0 && j.in.Stack.shareAt(i) > 0 {
			holds[i] = 1
			v[0][i], v[1][i], v[2][i] = j.in.Stack.Law.Indices(rho, j.fibreStrain(strain[i], c, i, rho, y.Cos[i], y.Sin[i]))
		}
	}
	share := j.disc.Mean(holds)
	for mode := range v {
		for i, m := range j.disc.Mean(v[mode]) {
			if holds[i] == 0 || share[i] == 0 {
				continue
			}
			m /= share[i]
			switch {
			case mode == 0:
				s.FT = math.Max(s.FT, m)
			case mode == 2:
				s.M = math.Max(s.M, m)
			case j.beforePin(c, i):
				s.Bearing = math.Max(s.Bearing, m)
			default:
				s.FC = math.Max(s.FC, m)
			}
		}
	}
}

// addPlastic raises the score to the index of plain plastic where it lies: where
// a ply has no strands, or in covers.
func (j *judge) addPlastic(s *Score, c int, strain [][3]float64, lies func(point int) bool) {
	if j.in.Stack.PlasticIndex == nil {
		return
	}
	v, holds := make([]float64, len(strain)), make([]float64, len(strain))
	for i, e := range strain {
		if lies(i) {
			holds[i] = 1
			v[i], _ = j.in.Stack.PlasticIndex(j.in.Stack.Plastic.Mul(j.plasticStrain(e, c, i)))
		}
	}
	share := j.disc.Mean(holds)
	for i, m := range j.disc.Mean(v) {
		if holds[i] == 1 && share[i] > 0 {
			s.Plastic = math.Max(s.Plastic, m/share[i])
		}
	}
}

// beforePin reports whether a point lies where a pin presses under a case: in
// the half of the plane that it presses on, up to half a diameter from its
// hole.
func (j *judge) beforePin(c, i int) bool {
	p := j.in.Part
	at := j.in.System.Points()[i]
	for _, l := range p.Cases[c].Loads {
		if l.Kind != part.Bearing || l.Force == (geom.Point{}) {
			continue
		}
		f := &p.Features[l.Feature]
		arm := at.Sub(f.Center)
		if arm.Norm() < f.Diameter && arm.Dot(l.Force)*p.Cases[c].Factor > 0 {
			return true
		}
	}
	return false
}
