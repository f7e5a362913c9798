package material

import (
	"testing"

	"sinew/internal/near"
)

// TestMethodsOfLaw: the method that the law was made with gives the law's
// constants, and each method's E1 lies within the bounds.
func TestMethodsOfLaw(t *testing.T) {
	for i, name := range MethodNames() {
		s := carbonSettings()
		m, err := ParseMethod(name)
		if err != nil {
			t.Fatal(err)
		}
		s.Estimate.TowMethod, s.Estimate.BeadMethod = m, m
		l := newLaw(t, s)
		rho := (l.RhoMin() + l.RhoMax()) / 2
		all := l.Methods(rho)
		if len(all) != len(MethodNames()) || all[i].Method != m {
			t.Fatalf("methods %v", all)
		}
		e := l.Lamina(rho)
		for _, c := range []struct {
			name      string
			got, want float64
		}{{"E1", all[i].Phase.E1, e.E1}, {"E2", all[i].Phase.E2, e.E2}, {"G12", all[i].Phase.G12, e.G12}, {"nu12", all[i].Phase.Nu12, e.Nu12}} {
			if !near.Equal(c.got, c.want, 0, 1e-5) {
				t.Errorf("%s: %s %g, law %g", name, c.name, c.got, c.want)
			}
		}
	}
}
