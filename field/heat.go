package field

import (
	"math"
	"slices"

	"sinew/material"
	"sinew/stress"
)

// elastic is a layer at a point, in part axes: its stiffness, and its stress per
// kelvin where it is held from growing.
type elastic struct {
	q    material.Stiffness
	heat [3]float64
}

// stress of a strain at a change of temperature.
func (e elastic) stress(strain [3]float64, warm float64) [3]float64 {
	t := e.q.Mul(strain)
	for i := range t {
		t[i] -= warm * e.heat[i]
	}
	return t
}

// fibreAt is a layer of so many strands per mm along (cos, sin).
func (k *Stack) fibreAt(rho, cos, sin float64) elastic {
	q, _ := k.Law.Reduced(rho)
	e := elastic{q: q.TurnBy(cos, sin)}
	if k.Warm {
		along, across := k.Law.Expansion(rho)
		e.heat = e.q.Mul(material.TurnStrainBy([3]float64{along, across, 0}, cos, -sin))
	}
	return e
}

// plain is a layer of plain plastic.
func (k *Stack) plain() elastic {
	e := elastic{q: k.Plastic.Turn(0)}
	if k.Warm {
		e.heat = e.q.Mul([3]float64{k.PlasticExpansion, k.PlasticExpansion, 0})
	}
	return e
}

// evenly is fibre spread over all directions.
func (k *Stack) evenly(rho float64) elastic {
	q, _ := k.Law.Reduced(rho)
	u := q.Invariants()
	e := elastic{q: material.Stiffness{u.U1, u.U4, 0, u.U1, 0, (u.U1 - u.U4) / 2}}
	if k.Warm { // the mean over all directions: shear goes, both sides are alike
		along, across := k.Law.Expansion(rho)
		s := q.Mul([3]float64{along, across, 0})
		e.heat = [3]float64{(s[0] + s[1]) / 2, (s[0] + s[1]) / 2, 0}
	}
	return e
}

// newSheet is one of n points without anything.
func (k *Stack) newSheet(n int) stress.Sheet {
	s := stress.Sheet{A: make([]material.Stiffness, n), Mass: make([]float64, n)}
	if k.Warm {
		s.Thermal = make([][3]float64, n)
	}
	return s
}

// addTo adds a thickness of a layer at a point.
func (e elastic) addTo(s *stress.Sheet, i int, thickness, density float64) {
	s.A[i] = s.A[i].Add(e.q, thickness)
	s.Mass[i] += thickness * density
	if s.Thermal != nil {
		for j, v := range e.heat {
			s.Thermal[i][j] += thickness * v
		}
	}
}

// addSheet adds another sheet at a point.
func addSheet(s, o *stress.Sheet, i int) {
	s.A[i] = s.A[i].Add(o.A[i], 1)
	s.Mass[i] += o.Mass[i]
	if s.Thermal != nil && o.Thermal != nil {
		for j, v := range o.Thermal[i] {
			s.Thermal[i][j] += v
		}
	}
}

// copied returns a sheet that may be changed without changing s.
func copied(s *stress.Sheet) stress.Sheet {
	return stress.Sheet{A: append([]material.Stiffness(nil), s.A...), Mass: append([]float64(nil), s.Mass...), Thermal: append([][3]float64(nil), s.Thermal...)}
}

// warmth is the change of temperature under each case at the points of a
// system, K; nil for a case without one.
func warmth(in *Input) [][]float64 {
	out := make([][]float64, len(in.Part.Cases))
	for c := range out {
		h := in.Part.Cases[c].Heat.Times(in.Part.Cases[c].Factor)
		if !h.InPlane() {
			continue
		}
		out[c] = make([]float64, len(in.System.Points()))
		for i, p := range in.System.Points() {
			out[c][i] = h.At(p)
		}
	}
	return out
}

// warmAt is the change of temperature under a case at a point.
func (j *judge) warmAt(c, i int) float64 {
	if j.warm[c] == nil {
		return 0
	}
	return j.warm[c][i]
}

// fibreStrain is a strain in the axes of a layer along (cos, sin), less what
// warmth makes the layer grow.
func (j *judge) fibreStrain(strain [3]float64, c, i int, rho, cos, sin float64) [3]float64 {
	e := material.TurnStrainBy(strain, cos, sin)
	if warm := j.warmAt(c, i); warm != 0 {
		along, across := j.in.Stack.Law.Expansion(rho)
		e[0], e[1] = e[0]-warm*along, e[1]-warm*across
	}
	return e
}

// plasticStrain is a strain less what warmth makes plain plastic grow.
func (j *judge) plasticStrain(strain [3]float64, c, i int) [3]float64 {
	grown := j.warmAt(c, i) * j.in.Stack.PlasticExpansion
	return [3]float64{strain[0] - grown, strain[1] - grown, strain[2]}
}

// firm reports whether stiffness is judged by a case's energy: under a change of
// temperature the soft part holds least.
func (j *judge) firm(c int) bool { return j.warm[c] == nil }

// anyFirm reports whether any case is so judged.
func (j *judge) anyFirm() bool {
	return slices.ContainsFunc(j.warm, func(w []float64) bool { return w == nil })
}

// flexibility is the mean over cases of the logarithm of the energy, halved:
// it goes with the logarithm of 1/√stiffness. Cases with a change of temperature
// are left out.
func (j *judge) flexibility(sol *stress.Solution) float64 {
	sum := 0.0
	for c := range sol.Cases {
		if j.firm(c) {
			sum += math.Log(math.Max(leastIndex, sol.Cases[c].Energy)) / 2 / float64(len(sol.Cases))
		}
	}
	return sum
}
