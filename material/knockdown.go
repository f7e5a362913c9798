package material

import "fmt"

// KnockDown is a named reason to count on less than was measured or
// estimated: damage, environment, fatigue, long-term load. Each factor lies
// in 0..1; 0 means 1, untouched.
type KnockDown struct {
	ID, Title                      string
	FibreTension, FibreCompression float64
	Matrix, Interlaminar           float64
	Stiffness                      float64
	Sources                        []Provenance
}

// Validate reports a factor outside 0..1.
func (k KnockDown) Validate() error {
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"fibre tension", k.FibreTension}, {"fibre compression", k.FibreCompression},
		{"matrix", k.Matrix}, {"interlaminar", k.Interlaminar}, {"stiffness", k.Stiffness},
	} {
		if !(v.value >= 0 && v.value <= 1) {
			return fmt.Errorf("knock-down %s: factor %g on %s must lie in 0..1", k.ID, v.value, v.name)
		}
	}
	return nil
}

// factor of a group of figures: "fibre_tension", "fibre_compression",
// "matrix", "interlaminar" or "stiffness"; one left out counts as 1.
func (k KnockDown) factor(group string) float64 {
	v := map[string]float64{
		"fibre_tension": k.FibreTension, "fibre_compression": k.FibreCompression,
		"matrix": k.Matrix, "interlaminar": k.Interlaminar, "stiffness": k.Stiffness,
	}[group]
	if v == 0 {
		return 1
	}
	return v
}

// combine multiplies knock-downs; factors left out count as 1.
func combine(list []KnockDown) KnockDown {
	r := KnockDown{FibreTension: 1, FibreCompression: 1, Matrix: 1, Interlaminar: 1, Stiffness: 1}
	times := func(a *float64, f float64) {
		if f != 0 {
			*a *= f
		}
	}
	for _, k := range list {
		times(&r.FibreTension, k.FibreTension)
		times(&r.FibreCompression, k.FibreCompression)
		times(&r.Matrix, k.Matrix)
		times(&r.Interlaminar, k.Interlaminar)
		times(&r.Stiffness, k.Stiffness)
	}
	return r
}
