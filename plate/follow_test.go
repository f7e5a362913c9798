package plate

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
)

// bridge is a strip of length 100 held by hinges at both ends, which cannot
// come nearer, and alike all along its width: its sides are lines of symmetry.
func bridge(c part.Case) *part.Part {
	return &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{c}, Supports: []part.Support{
		{Feature: left, Across: part.Hinged}, {Feature: right, Across: part.Hinged},
		{Feature: bottom, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Mirrored}, {Feature: top, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Mirrored}}}
}

func follow(t *testing.T, s *System, section Section, settings FollowSettings) *Path {
	t.Helper()
	p, err := s.Follow(context.Background(), &section, 0, settings)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Cylindrical bending of a long plate between immovable hinges under an even
// pressure, closed form: Timoshenko & Woinowsky-Krieger, Theory of Plates and
// Shells (1959), art. 2. With the tension S per width,
//
//	w = q/S·x(l-x)/2 - q·D/S²·(1 - cosh(k(l/2-x))/cosh(kl/2)),  k² = S/D
//
// and S follows from S·l·(1-nu²)/(E·h) = 1/2·∫ w'² dx.
func cylinder(q, e, nu, h, l float64) (w, tension float64) {
	d := e * h * h * h / 12 / (1 - nu*nu)
	slope := func(s, x float64) float64 {
		k := math.Sqrt(s / d)
		return q/s*(l/2-x) - q*d/(s*s)*k*math.Sinh(k*(l/2-x))/math.Cosh(k*l/2)
	}
	excess := func(s float64) float64 {
		const n = 2000
		sum := 0.0
		for i := range n {
			sum += sq(slope(s, (float64(i)+0.5)*l/n)) * l / n
		}
		return sum/2 - s*l*(1-nu*nu)/(e*h)
	}
	low, high := 1e-6, 1e6
	for range 200 {
		if mid := math.Sqrt(low * high); excess(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	k := math.Sqrt(low / d)
	return q/low*l*l/8 - q*d/(low*low)*(1-1/math.Cosh(k*l/2)), low
}

func TestLargeDeflectionOfALongPlate(t *testing.T) {
	const e, nu, l = 70e3, 0.3, 100.0
	section := Homogeneous(isotropic(e, nu), 1)
	for _, q := range []float64{1e-4, 0.01, 0.1, 1} {
		p := bridge(part.Case{Name: "press", Factor: 1, Bending: part.Bending{Pressure: q}})
		m := rectangle(24, 1, l, 4)
		s := newSystem(t, m, p, Settings{})
		path := follow(t, s, section, FollowSettings{Steps: 5})
		if !path.Reached {
			t.Fatalf("pressure %g: %s", q, path.Why)
		}
		w, tension := cylinder(q, e, nu, 1, l)
		got := path.Last.D[5*nearestNode(m, geom.Point{X: 50, Y: 2})+dispW]
		n := s.PlaneForces(&path.Last, &section)[3*PointsPerTri][0]
		t.Logf("pressure %g: w %.5f (want %.5f), tension %.4f (want %.4f), %d points", q, got, w, n, tension, len(path.Points))
		if math.Abs(got-w) > 2e-3*w || math.Abs(n-tension) > 5e-3*tension {
			t.Errorf("pressure %g: w %g, want %g; tension %g, want %g", q, got, w, n, tension)
		}
		if c := &path.Last; c.Imbalance > 1e-7 || c.Residual > 1e-7 {
			t.Errorf("pressure %g: imbalance %g, residual %g", q, c.Imbalance, c.Residual)
		}
	}
}

// arch is the bridge as a shallow arch of rise a0·sin(πx/l), pressed down by a
// pressure of the same shape. One sine wave solves it exactly; with its height a
// under the pressure p·sin(πx/l), k = π/l, rho² = h²/12 and Poisson's ratio 0
//
//	p = E·h·k⁴·(rho²·(a0 - a) + (a0² - a²)·a/4)
//
// (the arch of Timoshenko, J. Appl. Mech. 2 (1935) 17; Fung & Kaplan, NACA TN
// 2840 (1952)). The load is greatest at a² = (a0² - 4·rho²)/3; below a0 = 4·rho
// no unsymmetric shape comes first.
func arch(t *testing.T, a0, top float64) (s *System, section Section, settings FollowSettings, load func(a float64) float64) {
	const e, l = 70e3, 100.0
	rho2, k := 1.0/12, math.Pi/l
	load = func(a float64) float64 {
		return e * math.Pow(k, 4) * (rho2*(a0-a) + (a0*a0-a*a)*a/4)
	}
	p := bridge(part.Case{Name: "press", Factor: 1})
	m := rectangle(24, 1, l, 4)
	s = newSystem(t, m, p, Settings{})
	for i, at := range s.Points() {
		q := -top * math.Sin(k*at.X)
		p.Cases[0].Bending.Points = append(p.Cases[0].Bending.Points, part.PointLoad{At: at, Out: s.Weights()[i] * q})
	}
	settings.Shape = make([]float64, len(m.Nodes))
	for n, at := range m.Nodes {
		settings.Shape[n] = a0 * math.Sin(k*at.X)
	}
	return s, Homogeneous(isotropic(e, 0), 1), settings, load
}

func TestArchSnapsThrough(t *testing.T) {
	const a0 = 1.1
	limit := math.Sqrt((a0*a0 - 4.0/12) / 3)
	_, _, _, load := arch(t, a0, 0)
	most := load(limit)
	s, section, settings, _ := arch(t, a0, 1.5*most)
	settings.Arc, settings.Steps = true, 15
	path := follow(t, s, section, settings)
	if !path.Reached {
		t.Fatal(path.Why)
	}
	m := s.Mesh()
	middle := nearestNode(m, geom.Point{X: 50, Y: 2})
	greatest, falls, unstable := 0.0, false, 0
	for i, q := range path.Points {
		a := a0 + q.D[5*middle+dispW]
		want := load(a) / (1.5 * most)
		if math.Abs(q.Factor-want) > 5e-3 {
			t.Errorf("point %d: height %.4f at factor %.4f, want %.4f", i, a, q.Factor, want)
		}
		falls = falls || i > 0 && q.Factor < path.Points[i-1].Factor
		if !falls {
			greatest = math.Max(greatest, q.Factor)
		}
		if math.Abs(a) < 0.9*limit {
			unstable++
			if q.Negative != 1 {
				t.Errorf("point %d, on the way down: %d negative eigenvalues", i, q.Negative)
			}
		}
	}
	t.Logf("%d points, greatest factor before the snap %.4f of %.4f, %d unstable", len(path.Points), greatest, 1/1.5, unstable)
	if !falls || unstable < 3 || greatest > 1/1.5+5e-3 || greatest < 0.97/1.5 {
		t.Errorf("falls %v, %d points on the way down, greatest factor %g, want %g", falls, unstable, greatest, 1/1.5)
	}
	last := a0 + path.Last.D[5*middle+dispW]
	if !(last < -a0) {
		t.Errorf("it ends at height %g", last)
	}
}

// Led by the load alone, the walk stops at the greatest load and says so.
func TestLoadStepsStopAtTheLimit(t *testing.T) {
	_, _, _, load := arch(t, 1.1, 0)
	most := load(math.Sqrt((1.1*1.1 - 4.0/12) / 3))
	s, section, settings, _ := arch(t, 1.1, 1.02*most)
	path := follow(t, s, section, settings)
	last := path.Points[len(path.Points)-1].Factor
	snapped := path.Last.D[5*nearestNode(s.Mesh(), geom.Point{X: 50, Y: 2})+dispW] < -1.1
	if !snapped && (path.Reached || path.Why == "" || math.Abs(last-1/1.02) > 0.01) {
		t.Errorf("reached %v at %g: %s", path.Reached, last, path.Why)
	}
}

// A free square of an unsymmetric cross-ply that is wide against its thickness
// does not cool to the saddle of linear theory but to a cylinder; a narrow one
// does keep to the saddle (Hyer, J. Compos. Mater. 15 (1981) 175). Small things
// decide which of the two cylinders it is; here an imperfection starts it.
func TestWideUnsymmetricSquareCoolsToACylinder(t *testing.T) {
	l := coupled(t, 0.5, 0, 90)
	_, kappa := l.Respond(material.Load{DeltaT: -100})
	for _, row := range []struct {
		side        float64
		cylindrical bool
	}{{10, false}, {80, true}} {
		p := &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "cool", Factor: 1, Heat: part.Heat{Change: -100}}}}
		m := rectangle(8, 8, row.side, row.side)
		s := newSystem(t, m, p, Settings{Free: true})
		settings := FollowSettings{Steps: 20, Shape: make([]float64, len(m.Nodes))}
		for n, at := range m.Nodes {
			settings.Shape[n] = -1e-3 * kappa[0] * sq(at.X-row.side/2) // curved along x as the layers wish
		}
		path := follow(t, s, FromLaminate(l), settings)
		if !path.Reached {
			t.Fatalf("side %g: %s", row.side, path.Why)
		}
		k, best := [2]float64{}, math.Inf(1)
		for i, at := range s.Points() {
			if d := at.Dist(geom.Point{X: row.side / 2, Y: row.side / 2}); d < best {
				best, k = d, [2]float64{path.Last.Strain[i][3], path.Last.Strain[i][4]}
			}
		}
		t.Logf("side %g: curvatures %.3g, %.3g (laminate theory %.3g, %.3g)", row.side, k[0], k[1], kappa[0], kappa[1])
		low, high := math.Abs(k[0]), math.Abs(k[1])
		if low > high {
			low, high = high, low
		}
		if cylindrical := low < 0.1*high; cylindrical != row.cylindrical {
			t.Errorf("side %g: curvatures %g", row.side, k)
		}
		if math.Abs(high/math.Abs(kappa[0])-1) > 0.15 {
			t.Errorf("side %g: curvature %g, laminate theory %g", row.side, high, kappa[0])
		}
	}
}

// Small loads are linear, with every kind of coupling in play.
func TestSmallLoadsAreLinear(t *testing.T) {
	m, p := lug(t, 8)
	p.Cases[0].Bending.Pressure, p.Cases[0].Heat.Change = 1e-7, 1e-5
	p.Cases[0].Loads = []part.Load{{Feature: 0, Kind: part.Bolt, Force: geom.Point{X: 1e-3}, Out: 1e-4, Spoke: 50}}
	s := newSystem(t, m, p, Settings{Bedded: true})
	section := FromLaminate(coupled(t, 2, 0, 90, 30))
	section.Foundation = []float64{0.01}
	linear := solve(t, s, section).Cases[0]
	path := follow(t, s, section, FollowSettings{Steps: 1})
	for i, v := range path.Last.D {
		if math.Abs(v-linear.D[i]) > 1e-5*maxAbs(linear.D) {
			t.Fatalf("displacement %d: %g, linear %g", i, v, linear.D[i])
		}
	}
}
