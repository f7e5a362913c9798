package stress

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/hold"
	"sinew/material"
	"sinew/part"
)

func solve(t *testing.T, s *System, sheet Sheet) *Solution {
	t.Helper()
	sol, err := s.Solve(context.Background(), sheet)
	if err != nil {
		t.Fatal(err)
	}
	return sol
}

// The constant-strain patch of MacNeal & Harder, Finite Elem. Anal. Des. 1
// (1985) 3, on a shaken mesh: a linear displacement on the boundary must give
// constant strain inside, whatever the material.
func TestConstantStrainPatch(t *testing.T) {
	lamina := material.Lamina{E1: 181e3, E2: 10.3e3, G12: 7.17e3, Nu12: 0.28}
	sheets := map[string]Sheet{"isotropic": Isotropic(1e6, 0.25, 0.001)}
	for _, deg := range []float64{0, 17, 45, 73, 90, -30} {
		q := lamina.Reduced().Turn(deg * math.Pi / 180)
		sheets[fmt.Sprintf("orthotropic at %g°", deg)] = Sheet{A: []material.Stiffness{q}}
	}
	m := rectangle(4, 3, 0.24, 0.12)
	shake(m, 0.02, 1)
	p := &part.Part{Thickness: 0.001, Features: sides(), Cases: []part.Case{{Name: "patch", Factor: 1}}}
	move := func(q geom.Point) geom.Point {
		return geom.Point{X: 1e-3 * (q.X + q.Y/2), Y: 1e-3 * (q.Y + q.X/2)}
	}
	for name, sheet := range sheets {
		s, err := NewSystem(m, p, Settings{Enforced: []Enforced{{Feature: all, Move: move}}})
		if err != nil {
			t.Fatal(err)
		}
		c := solve(t, s, sheet).Cases[0]
		for i, e := range c.Strain {
			for k, want := range [3]float64{1e-3, 1e-3, 1e-3} {
				if math.Abs(e[k]-want) > 1e-10*want {
					t.Errorf("%s: strain %d at point %d is %.15g, want %g", name, k, i, e[k], want)
				}
			}
		}
		if name == "isotropic" { // stresses of the published example
			a := sheet.StiffnessAt(0)
			for k, want := range [3]float64{1333.3333333333333, 1333.3333333333333, 400} {
				if got := a.Mul(c.Strain[0])[k] / 0.001; math.Abs(got-want) > 1e-10*want {
					t.Errorf("stress %d is %.12g, want %g", k, got, want)
				}
			}
		}
	}
}

// Tension by an even load, a traction and a grip on a free-sided strip give
// F·L/(E·t·W) exactly, at any orientation.
func TestStripInTension(t *testing.T) {
	const length, height, thickness, e, force = 60.0, 12.0, 2.0, 1000.0, 480.0
	for _, turn := range []float64{0, math.Pi / 2, 0.4, 2.8} {
		d := hold.Direction(turn)
		m := gridMesh(5, 3, func(s, u float64) geom.Point {
			return d.Scale(s * length).Add(d.Left().Scale(u * height))
		})
		shake(m, 2, 2)
		base := part.Part{
			Thickness: thickness, Features: sides(),
			Supports: []part.Support{{Feature: left, Kind: part.Sliding, Angle: turn}, {Feature: bottom, Kind: part.Sliding, Angle: turn + math.Pi/2}},
		}
		loads := map[string]part.Load{
			"even":     {Feature: right, Kind: part.Even, Force: d.Scale(force)},
			"traction": {Feature: right, Kind: part.Traction, Force: d.Scale(force / (height * thickness))},
			"pressure": {Feature: right, Kind: part.Pressure, Force: geom.Point{X: -force / (height * thickness)}},
		}
		for name, load := range loads {
			p := base
			p.Cases = []part.Case{{Name: name, Factor: 1.5, Loads: []part.Load{load}}}
			s, err := NewSystem(m, &p, Settings{})
			if err != nil {
				t.Fatal(err)
			}
			c := solve(t, s, Isotropic(e, 0.3, thickness)).Cases[0]
			n := m.Boundary[5+1].A
			got := geom.Point{X: c.U[2*n], Y: c.U[2*n+1]}.Dot(d)
			if want := 1.5 * force * length / (e * thickness * height); math.Abs(got-want) > 1e-10*want {
				t.Errorf("%s at %.3g rad: stretch %.12g, want %.12g", name, turn, got, want)
			}
			if want := got * 1.5 * force / 2; math.Abs(c.Energy-want) > 1e-9*want || math.Abs(c.Work-2*want) > 1e-9*want {
				t.Errorf("%s: energy %g, work %g, want %g and twice that", name, c.Energy, c.Work, want)
			}
			r := c.Reactions[0]
			if back := (geom.Point{X: r[0], Y: r[1]}).Sub(d.Scale(-1.5 * force)).Norm(); back > 1e-9*force {
				t.Errorf("%s: reaction %v off by %g", name, r, back)
			}
			if c.Imbalance > 1e-12 || c.Residual > 1e-14 {
				t.Errorf("%s: imbalance %g, residual %g", name, c.Imbalance, c.Residual)
			}
		}
	}
}

// With Poisson's ratio 0 a strip between a fixed end and a grip is in plain
// tension, whatever the direction of the pull; two cases with the same grip
// share a factorisation, a third with another grip has its own.
func TestGrip(t *testing.T) {
	const force = 100.0
	m := rectangle(6, 3, 30, 10)
	p := &part.Part{
		Thickness: 2, Features: sides(),
		Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases: []part.Case{
			{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Grip, Force: geom.Point{X: force}}}},
			{Name: "push", Factor: 2, Loads: []part.Load{{Feature: right, Kind: part.Grip, Force: geom.Point{X: -force}}}},
			{Name: "across", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Grip, Force: geom.Point{Y: force}}}},
		},
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.sets) != 2 {
		t.Errorf("%d sets of constraints, want 2", len(s.sets))
	}
	sol := solve(t, s, Isotropic(1000, 0, 2))
	want := force * 30 / (1000 * 2 * 10)
	for i, w := range []float64{want, 2 * want} {
		if got := sol.Cases[i].GripMove[0]; math.Abs(got-w) > 1e-10*w {
			t.Errorf("%s: moves %.12g along its force, want %.12g", p.Cases[i].Name, got, w)
		}
	}
	across := sol.Cases[2]
	if r := across.Reactions[0]; math.Abs(r[1]+force) > 1e-9*force {
		t.Errorf("across: the fixed end takes %g N in y, want %g", r[1], -force)
	}
	if across.Imbalance > 1e-12 { // the grip's own moment is part of the balance
		t.Errorf("across: imbalance %g", across.Imbalance)
	}
	// A beam clamped at both ends, one moving sideways: 12EI/L³ and shear.
	slope := 12*1000*2*1000/12.0/27000 + 0
	shear := (1000.0 / 2) * (5.0 / 6) * 20 / 30
	if got, beam := force/across.GripMove[0], 1/(1/slope+1/shear); math.Abs(got-beam) > 0.03*beam {
		t.Errorf("across: stiffness %g N/mm, Timoshenko's beam has %g", got, beam)
	}
}

// A disc free to grow: uniform temperature gives alpha·dT everywhere and no
// stress; held at both ends it gives -E·alpha·dT.
func TestTemperature(t *testing.T) {
	const e, alpha, dT, th = 2000.0, 8e-5, 40.0, 3.0
	m := rectangle(4, 3, 20, 10)
	shake(m, 2, 3)
	free := &part.Part{
		Thickness: th, Features: sides(),
		Supports: []part.Support{{Feature: left, Kind: part.Sliding}, {Feature: bottom, Kind: part.Sliding, Angle: math.Pi / 2}},
		Cases:    []part.Case{{Name: "warm", Factor: 1, Heat: part.Heat{Change: dT}}},
	}
	sheet := Isotropic(e, 0.3, th).WithThermal(alpha, 1e-3, th)
	s, err := NewSystem(m, free, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	c := solve(t, s, sheet).Cases[0]
	for i, x := range c.Strain {
		if math.Abs(x[0]-alpha*dT) > 1e-12 || math.Abs(x[1]-alpha*dT) > 1e-12 || math.Abs(x[2]) > 1e-12 {
			t.Fatalf("point %d: strain %v, want %g, %g, 0", i, x, alpha*dT, alpha*dT)
		}
	}
	if c.Energy > 1e-9*e*alpha*dT*alpha*dT*th*200 {
		t.Errorf("free growth stores %g N mm", c.Energy)
	}
	held := *free
	held.Supports = append(held.Supports, part.Support{Feature: right, Kind: part.Sliding})
	if s, err = NewSystem(m, &held, Settings{}); err != nil {
		t.Fatal(err)
	}
	c = solve(t, s, sheet).Cases[0]
	if want := -e * alpha * dT * th * 10; math.Abs(c.Reactions[2][0]-want) > 1e-9*-want {
		t.Errorf("held end takes %g N, want %g", c.Reactions[2][0], want)
	}
	if want := e * alpha * dT * alpha * dT / 2 * th * 200; math.Abs(c.Energy-want) > 1e-9*want {
		t.Errorf("held strip stores %g N mm, want %g", c.Energy, want)
	}
}

// A change of temperature that is linear over the plan stresses a part nowhere
// whose outline moves as a free one does: for a change c + s·x by
// u = α·(c·x + s·(x² - y²)/2), v = α·(c·y + s·x·y).
func TestSlopeOfTemperature(t *testing.T) {
	const e, alpha, c, slope = 2000.0, 8e-5, 5.0, 3.0
	m := rectangle(4, 3, 20, 10)
	shake(m, 2, 3)
	p := &part.Part{Thickness: 3, Features: sides(), Cases: []part.Case{{Name: "warm", Factor: 2, Heat: part.Heat{Change: c, Slope: geom.Point{X: slope}}}}}
	sheet := Isotropic(e, 0.3, 3).WithThermal(alpha, 1e-3, 3)
	s, err := NewSystem(m, p, Settings{Enforced: []Enforced{{Feature: all, Move: func(q geom.Point) geom.Point {
		return geom.Point{X: c*q.X + slope*(q.X*q.X-q.Y*q.Y)/2, Y: c*q.Y + slope*q.X*q.Y}.Scale(alpha)
	}}}})
	if err != nil {
		t.Fatal(err)
	}
	sol := &solve(t, s, sheet).Cases[0]
	for i, n := range s.Resultants(sol, sheet) {
		at := s.Points()[i]
		for _, v := range n {
			if math.Abs(v) > 1e-9*e*3*alpha*slope*20 {
				t.Fatalf("force per width at %v: %g", at, n)
			}
		}
		if want := 2 * alpha * (c + slope*at.X); math.Abs(sol.Strain[i][0]-want) > 1e-12 {
			t.Fatalf("strain at %v: %g, want %g", at, sol.Strain[i][0], want)
		}
	}
	if sol.Energy > 1e-12*e {
		t.Errorf("energy %g N mm", sol.Energy)
	}
}

// A hanging strip: sigma = density·g·(L - x), tip displacement
// density·g·L²/(2E).
func TestWeight(t *testing.T) {
	const e, length, rho = 100.0, 400.0, 1.2e-3
	m := rectangle(8, 2, length, 20)
	p := &part.Part{
		Thickness: 3, Features: sides(),
		Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "hangs", Factor: 1, Acceleration: geom.Point{X: -9810}}},
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	c := solve(t, s, Isotropic(e, 0, 3).WithThermal(0, rho, 3)).Cases[0]
	n := nearestNode(m, geom.Point{X: length, Y: 10})
	if want := rho * 9810e-6 * length * length / (2 * e); math.Abs(c.U[2*n]-want) > 1e-9*want {
		t.Errorf("tip moves %g, want %g", c.U[2*n], want)
	}
	if want := -rho * 9810e-6 * length * 20 * 3; math.Abs(c.Reactions[0][0]-want) > 1e-9*-want {
		t.Errorf("reaction %g N, want %g", c.Reactions[0][0], want)
	}
}

func TestFreeMotion(t *testing.T) {
	m := rectangle(3, 2, 30, 20)
	pull := part.Load{Feature: right, Kind: part.Even, Force: geom.Point{X: 1}}
	grip := part.Load{Feature: right, Kind: part.Grip, Force: geom.Point{X: 1}}
	for _, row := range []struct {
		name     string
		supports []part.Support
		load     part.Load
		want     []string
	}{
		{"nothing held", nil, pull, []string{"translation along x", "translation along y", "rotation"}},
		{"slides in y", []part.Support{{Feature: left, Kind: part.Sliding}}, pull, []string{"translation along y"}},
		{"slides at 30°", []part.Support{{Feature: left, Kind: part.Sliding, Angle: math.Pi / 6}}, pull, []string{"translation along the direction of 120°"}},
		{"pinned", []part.Support{{Feature: left, Kind: part.Pinned}}, pull, []string{`rotation about "left"`}},
		{"only gripped", nil, grip, []string{"translation along x"}},
		{"held", []part.Support{{Feature: left, Kind: part.Fixed}}, pull, nil},
		{"pinned and guided", []part.Support{{Feature: left, Kind: part.Pinned}, {Feature: right, Kind: part.Sliding, Angle: math.Pi / 2}}, pull, nil},
		{"pinned and gripped", []part.Support{{Feature: left, Kind: part.Pinned}}, grip, nil},
	} {
		p := &part.Part{Thickness: 1, Features: sides(), Supports: row.supports, Cases: []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{row.load}}}}
		_, err := NewSystem(m, p, Settings{})
		var free *FreeMotionError
		if errors.As(err, &free) != (row.want != nil) || err != nil && free == nil {
			t.Errorf("%s: error %v", row.name, err)
			continue
		}
		if free != nil && strings.Join(free.Motions, "|") != strings.Join(row.want, "|") {
			t.Errorf("%s: motions %q, want %q", row.name, free.Motions, row.want)
		}
	}
}

// A corner held by two slanted supports is a fixed point; the support takes
// what each of them can.
func TestCornerOfTwoSupports(t *testing.T) {
	m := rectangle(4, 4, 10, 10)
	p := &part.Part{
		Thickness: 1, Features: sides(),
		Supports: []part.Support{
			{Feature: left, Kind: part.Sliding, Angle: 0.3},
			{Feature: bottom, Kind: part.Sliding, Angle: 1.1},
			{Feature: top, Kind: part.Sliding, Angle: 2.0},
		},
		Cases: []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{X: 7, Y: -3}}}}},
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	c := solve(t, s, Isotropic(10, 0.3, 1)).Cases[0]
	var sum geom.Point
	for i, r := range c.Reactions {
		f := geom.Point{X: r[0], Y: r[1]}
		sum = sum.Add(f)
		if across := math.Abs(f.Cross(hold.Direction(p.Supports[i].Angle))); across > 1e-9*f.Norm() {
			t.Errorf("support %d takes %v: %g N across what it can hold", i, f, across)
		}
	}
	if sum.Dist(geom.Point{X: -7, Y: 3}) > 1e-10 {
		t.Errorf("reactions add up to %v", sum)
	}
	for _, b := range m.Boundary {
		if b.Edge != 3 {
			continue
		}
		u := geom.Point{X: c.U[2*b.Mid], Y: c.U[2*b.Mid+1]}
		if h := math.Abs(u.Dot(hold.Direction(0.3))); h > 1e-12 {
			t.Errorf("left side moves %g along its held direction", h)
		}
	}
}

func TestWorkersAgree(t *testing.T) {
	m := rectangle(20, 9, 30, 20)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Pinned}, {Feature: top, Kind: part.Sliding, Angle: 1}},
		Cases: []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{X: 7, Y: -3}}}}}}
	var first []float64
	for _, workers := range []int{1, 2, 5} {
		s, err := NewSystem(m, p, Settings{Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		c := solve(t, s, Isotropic(10, 0.3, 1)).Cases[0]
		if first == nil {
			first = c.U
		}
		for i := range first {
			if c.U[i] != first[i] {
				t.Fatalf("%d workers: displacement %d is %v, with one %v", workers, i, c.U[i], first[i])
			}
		}
	}
}

// What a search is told is what a report says, digit for digit.
func TestRespondAsSolved(t *testing.T) {
	m := rectangle(20, 9, 12, 8)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases: []part.Case{
			{Name: "pulled", Factor: 2, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{X: 7, Y: -3}}}},
			{Name: "warm", Factor: 1, Heat: part.Heat{Change: 30}, Loads: []part.Load{{Feature: top, Kind: part.Grip, Force: geom.Point{Y: 2}}}},
		}}
	sheet := Isotropic(10, 0.3, 1)
	sheet.Thermal = [][3]float64{{1e-3, 2e-3, 0}}
	s, err := NewSystem(m, p, Settings{Enforced: []Enforced{{Feature: bottom, Move: func(at geom.Point) geom.Point { return geom.Point{X: 1e-3 * at.X} }}}})
	if err != nil {
		t.Fatal(err)
	}
	want := solve(t, s, sheet)
	got, err := s.Respond(context.Background(), sheet)
	if err != nil {
		t.Fatal(err)
	}
	for i := range want.Cases {
		w := want.Cases[i]
		told := CaseSolution{U: w.U, Strain: w.Strain, Heat: w.Heat, Energy: w.Energy}
		if w.Energy == 0 || !reflect.DeepEqual(got.Cases[i], told) {
			t.Errorf("case %d: answered %+v", i, got.Cases[i])
		}
	}
}

// Equations that may not take the memory of a factorisation are iterated to the
// same answer, or refused where even that is too much.
func TestLittleMemory(t *testing.T) {
	m := rectangle(24, 12, 30, 20)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases: []part.Case{
			{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{X: 7, Y: -3}}}},
			{Name: "push", Factor: 2, Loads: []part.Load{{Feature: top, Kind: part.Even, Force: geom.Point{Y: -3}}}},
		}}
	sheet := Isotropic(10, 0.3, 1)
	system := func(memory int) *System {
		s, err := NewSystem(m, p, Settings{Memory: memory})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	rich := system(0)
	want := solve(t, rich, sheet)
	e := rich.Equations()
	if e.Iterated || e.Bytes <= 0 || e.Unknowns != rich.Unknowns() || !(e.Condition > 100) {
		t.Errorf("factorised: %+v", e)
	}
	if e := system(e.Bytes).Equations(); e.Iterated {
		t.Errorf("what just fits is iterated: %+v", e)
	}
	poor := system(e.Bytes - 1)
	got := solve(t, poor, sheet)
	if p := poor.Equations(); !p.Iterated || p.Bytes != e.Bytes || p.Condition != 0 {
		t.Errorf("iterated: %+v", p)
	}
	for i := range want.Cases {
		size := 0.0
		for _, u := range want.Cases[i].U {
			size = math.Max(size, math.Abs(u))
		}
		for k, u := range want.Cases[i].U {
			// the residual allowed, grown by the condition of the mesh
			if d := got.Cases[i].U[k] - u; math.Abs(d) > 1e-7*size {
				t.Fatalf("case %d: displacement %d is %g, factorised %g", i, k, got.Cases[i].U[k], u)
			}
		}
		if r := got.Cases[i].Residual; !(r < 1e-10) {
			t.Errorf("case %d: residual %g", i, r)
		}
	}
	for name, s := range map[string]*System{"factorised": rich, "iterated": poor} {
		again, beside := solve(t, s, sheet), solve(t, s.Twin(1), sheet)
		if !slices.Equal(again.Cases[1].U, beside.Cases[1].U) {
			t.Errorf("%s: a twin answers otherwise", name)
		}
	}
	rhs := [][]float64{slices.Clone(want.Cases[0].U), slices.Clone(want.Cases[1].U)}
	again := [][]float64{slices.Clone(want.Cases[0].U), slices.Clone(want.Cases[1].U)}
	if err := errors.Join(rich.SolveLoads(rhs), poor.SolveLoads(again)); err != nil {
		t.Fatal(err)
	}
	for k, u := range rhs[0] {
		if math.Abs(u-again[0][k]) > 1e-7*(1+math.Abs(u)) {
			t.Fatalf("loads: %g, factorised %g", again[0][k], u)
		}
	}
	_, err := NewSystem(m, p, Settings{Memory: 10_000})
	var short *hold.MemoryError
	if !errors.As(err, &short) || short.Allowed != 10_000 || short.Need <= 10_000 {
		t.Errorf("next to no memory: %v", err)
	}
}

// A corner that one condition moves and another holds has no answer.
func TestContradiction(t *testing.T) {
	m := rectangle(3, 2, 30, 20)
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Fixed}}, Cases: []part.Case{{Name: "c", Factor: 1}}}
	_, err := NewSystem(m, p, Settings{Enforced: []Enforced{{Feature: top, Move: func(geom.Point) geom.Point { return geom.Point{X: 1} }}}})
	if err == nil || !strings.Contains(err.Error(), "(0, 20)") {
		t.Errorf("error %v, want one that names (0, 20)", err)
	}
}

// Faults of the input are errors, not panics.
func TestInputRefused(t *testing.T) {
	m := rectangle(3, 2, 30, 20)
	good := part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left, Kind: part.Fixed}},
		Cases: []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Force: geom.Point{X: 1}}}}}}
	for _, row := range []struct {
		name  string
		spoil func(p *part.Part)
	}{
		{"no thickness", func(p *part.Part) { p.Thickness = 0 }},
		{"no case", func(p *part.Part) { p.Cases = nil }},
		{"unknown feature", func(p *part.Part) { p.Supports = []part.Support{{Feature: 9}} }},
		{"feature without sides", func(p *part.Part) {
			p.Features = []part.Feature{{Name: "x", Kind: part.Hole, Loop: 4}}
			p.Supports = []part.Support{{}}
		}},
		{"load that is no number", func(p *part.Part) {
			p.Cases = []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Force: geom.Point{X: math.NaN()}}}}}
		}},
		{"infinite factor", func(p *part.Part) { p.Cases = []part.Case{{Name: "c", Factor: math.Inf(1)}} }},
		{"grip without force", func(p *part.Part) {
			p.Cases = []part.Case{{Name: "c", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Grip}}}}
		}},
	} {
		p := good
		row.spoil(&p)
		if _, err := NewSystem(m, &p, Settings{}); err == nil {
			t.Errorf("%s: no error", row.name)
		}
	}
	s, err := NewSystem(m, &good, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.SolveLoads([][]float64{make([]float64, 2*len(m.Nodes))}); err == nil {
		t.Error("loads solved without a factorisation")
	}
	for _, bad := range []Sheet{{}, {A: make([]material.Stiffness, 2)}, {A: []material.Stiffness{{}}}, {A: Isotropic(1, 0.3, 1).A, Mass: []float64{-1}}} {
		if _, err := s.Solve(context.Background(), bad); err == nil {
			t.Errorf("sheet %+v is no error", bad)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Solve(ctx, Isotropic(1, 0.3, 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
