package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/strand"
)

// bare is a strip 60 by 10 by 2 without a hole, its left end fixed.
func bare(c part.Case) *part.Part {
	return &part.Part{
		Region:    geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 60}, geom.Point{X: 60, Y: 10}, geom.Point{Y: 10})},
		Thickness: 2,
		Features:  []part.Feature{{Name: "left", Kind: part.Side, Edges: []int{3}}, {Name: "right", Kind: part.Side, Edges: []int{1}}},
		Supports:  []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:     []part.Case{c},
	}
}

// A metal strip bent by an end moment M yields at 6M/(b·h²), whichever way it
// is bent; together with a pull F, at 6M/(b·h²) + F/(b·h). Beam theory is exact
// for Poisson's ratio 0. The deflection is M·L²/(2·E·I).
func TestBentStrip(t *testing.T) {
	metal := material.Metal{ID: "m", Title: "metal", E: 70e3, Yield: 240, Ultimate: 290, Density: 2.7e-3}
	for _, row := range []struct {
		name  string
		load  part.Load
		sigma float64
	}{
		{"up", part.Load{Moment: geom.Point{Y: 400}}, 60},
		{"down", part.Load{Moment: geom.Point{Y: -400}}, 60},
		{"bent and pulled", part.Load{Moment: geom.Point{Y: 400}, Force: geom.Point{X: 600}}, 90},
		{"pulled alone", part.Load{Force: geom.Point{X: 600}}, 30},
	} {
		row.load.Feature, row.load.Kind = 1, part.Even
		p := bare(part.Case{Name: "bend", Factor: 2, Loads: []part.Load{row.load}})
		r, err := Prove(context.Background(), Input{Part: p, Mesh: stripMesh(t, p, 3), Metals: []material.Metal{metal}})
		if err != nil {
			t.Fatal(err)
		}
		got := r.Designs[0].Cases[0].Of(Yield).Reserve
		if want := 240 / (2 * row.sigma); math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s: reserve %g, want %g", row.name, got, want)
		}
	}
}

// straightPrint is a print of layers of strands along x (0°) and along y, from
// the bottom up as the letters x and y say, on the bare strip.
func straightPrint(p *part.Part, layers string) *strand.Print {
	pr := &strand.Print{Region: p.Region, Composite: p.Region, SpacingMin: 0.65, SpacingMax: 2}
	for k, way := range layers {
		l := strand.Layer{Index: k, Composite: k, Kind: strand.Composite, Z: 0.2 * float64(k+1), Height: 0.2, Family: int(way - 'x')}
		add := func(a, b geom.Point) {
			line := geom.Path{Points: []geom.Point{a, b}}.Resample(0.5)
			l.Strands = append(l.Strands, strand.Strand{Points: line.Points, Width: make([]float64, len(line.Points))})
		}
		if way == 'x' {
			for y := 0.5; y < 10; y++ {
				add(geom.Point{Y: y}, geom.Point{X: 60, Y: y})
			}
		} else {
			for x := 0.5; x < 60; x++ {
				add(geom.Point{X: x}, geom.Point{X: x, Y: 10})
			}
		}
		pr.Layers = append(pr.Layers, l)
	}
	return pr
}

func coarse(t *testing.T, p *part.Part) *mesh.Mesh {
	t.Helper()
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 4})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// What is asked of a print as a plate must come from its own layers at their
// own heights: fibre along the strip outside buckles later and swings faster
// than inside, an unsymmetric stack warps as laminate theory says, a symmetric
// one not at all. Euler's column: N = π²·D/(4·L²) for a narrow strip.
func TestPrintAsPlate(t *testing.T) {
	law := statedLaw(t)
	load := part.Load{Feature: 1, Kind: part.Even, Force: geom.Point{X: -10}}
	prove := func(layers string, large bool) *Plate {
		p := bare(part.Case{Name: "press", Factor: 1, Loads: []part.Load{load}})
		r, err := Prove(context.Background(), Input{
			Part: p, Mesh: coarse(t, p), Law: law, Plastic: plainOf(t, law), Print: straightPrint(p, layers),
			Plate: PlateWish{Buckling: 2, Frequencies: 2, Large: large, Warp: true, Cooling: 50, Fields: true},
		})
		if err != nil {
			t.Fatal(err)
		}
		return r.Plate
	}
	outside, inside, half := prove("xxyyyyyyxx", true), prove("yyyxxxxyyy", false), prove("xxxxxyyyyy", true)
	if b := [2]float64{outside.Cases[0].Buckling[0], inside.Cases[0].Buckling[0]}; !(b[0] > 2*b[1]) {
		t.Errorf("buckling with fibre outside %g, inside %g", b[0], b[1])
	}
	if f := [2]float64{outside.Frequencies[0], inside.Frequencies[0]}; !(f[0] > 1.3*f[1]) {
		t.Errorf("frequency with fibre outside %g, inside %g", f[0], f[1])
	}
	// A strip free to bend across: its stiffness is 1/d11.
	abd := outside.Section.Stiff[len(outside.Section.Stiff)/2]
	c, _ := abd.Inverse()
	euler := math.Pi * math.Pi / (4 * 60 * 60) / c.D[0]
	if got := outside.Cases[0].Buckling[0]; math.Abs(got-euler) > 0.03*euler {
		t.Errorf("buckling %g, Euler's column %g", got, euler)
	}
	for name, w := range map[string]*Warp{"outside": outside.Warp, "inside": inside.Warp} {
		if w.Height > 1e-9 {
			t.Errorf("a symmetric stack, fibre %s, warps by %g", name, w.Height)
		}
	}
	abd = half.Section.Stiff[len(half.Section.Stiff)/2]
	c, _ = abd.Inverse()
	p := len(half.Section.ThermalForce) / 2
	n, m := half.Section.ThermalForce[p], half.Section.ThermalMoment[p]
	for k := range n {
		n[k], m[k] = -50*n[k], -50*m[k]
	}
	_, curvature := c.Mul(n, m)
	if got := half.Warp.Curvature[0]; math.Abs(got-curvature[0]) > 0.02*math.Abs(curvature[0]) {
		t.Errorf("curvature %g, laminate theory %g", got, curvature[0])
	}
	if l := outside.Cases[0].Large; !l.Reached || l.Factor != 1 || !(math.Abs(l.Deflection) > 0) {
		t.Errorf("large deflections: %+v", l)
	}
	if w := half.Warp; math.Abs(w.Large/w.Height-1) > 0.1 { // a narrow strip bends as linear theory says
		t.Errorf("warp by large deflections %g, linear %g", w.Large, w.Height)
	}
	if !(half.Warp.Matrix > 0) || len(half.Stack.Layers) != 10 || half.Stack.Layers[0].Bottom[0] != -1 {
		t.Errorf("locked-in index %g; %d layers from %g", half.Warp.Matrix, len(half.Stack.Layers), half.Stack.Layers[0].Bottom[0])
	}
}
