package strand

import (
	"fmt"
	"math"
	"testing"

	"sinew/geom"
)

// The share under beads is the one asked for, over as many layers as the
// pattern takes to come round, less what overlaps at crossings.
func TestSparseShares(t *testing.T) {
	r, _ := plate(120, 90, 5)
	const w = 0.6
	edge := geom.NewBoundary(r)
	for _, p := range []Pattern{Lines, Triangles, Hexagons, Gyroid} {
		for _, share := range []float64{0.15, 0.3, 0.5} {
			laid := 0.0
			const layers = 12
			for k := range layers {
				f := Fill{Pattern: p, Share: share}
				for _, b := range f.sparseBeads(r.Flatten(flattenWalls), k, 0.21*float64(k), w) {
					laid += b.Length() * b.Width
					for _, q := range b.Points {
						if d := edge.Nearest(q); !edge.Contains(q) && d.Distance > 1e-3 {
							t.Fatalf("%s: %v lies outside", p, q)
						}
					}
				}
			}
			got := laid / layers / r.Area()
			if math.Abs(got-share) > 0.06*share {
				t.Errorf("%s: %.3f of the area, want %.3f", p, got, share)
			}
		}
	}
}

// Layers next to composite and at the outside are filled whole; between them
// the pattern, with a region of its own share.
func TestSkinAndRegions(t *testing.T) {
	kinds := []LayerKind{Plastic, Plastic, Plastic, Plastic, Composite, Plastic, Plastic, Plastic}
	layers := make([]Layer, len(kinds))
	for i, k := range kinds {
		layers[i].Kind = k
	}
	for _, row := range []struct {
		skin int
		want []bool
	}{{0, []bool{true, false, false, true, true, true, false, true}}, {2, []bool{true, true, true, true, true, true, true, true}}} {
		for i, want := range row.want {
			if kinds[i] == Plastic && (Fill{Skin: row.skin}).isSkin(layers, i) != want {
				t.Errorf("skin %d: layer %d is skin %v", row.skin, i, !want)
			}
		}
	}
	r, _ := plate(60, 40, 5)
	dense := geom.Polygons{{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 40}, {X: 0, Y: 40}}}
	f := Fill{Pattern: Gyroid, Share: 0.2, Regions: []FillRegion{{dense, 1}}}
	ra := NewRaster(r, 0.2)
	ra.AddBeads(f.sparseBeads(r.Flatten(flattenWalls), 0, 1, 0.6))
	in := func(x0, x1 float64) float64 {
		cell := func(c int) bool { p := ra.Center(c%ra.NX, c/ra.NX); return ra.Inside[c] && p.X > x0 && p.X < x1 }
		return 1 - ra.Area(func(c int) bool { return cell(c) && ra.Gap(c) })/ra.Area(cell)
	}
	if a, b := in(1, 19), in(25, 59); a < 0.97 || math.Abs(b-0.2) > 0.05 {
		t.Errorf("shares %.3f and %.3f, want 1 and 0.2", a, b)
	}
}

// A wall starts where it is quiet, with the same points round and the same
// length.
func TestSeams(t *testing.T) {
	r, _ := plate(60, 40, 5)
	walls, _, err := wallBeads(r, 2, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	var before []float64
	for _, b := range walls {
		before = append(before, b.Length())
	}
	quiet := geom.Point{X: 60, Y: 20}
	placeSeams(walls, func(p geom.Point) float64 { return p.Dist(quiet) })
	for i, b := range walls {
		if math.Abs(b.Length()-before[i]) > 1e-9 {
			t.Errorf("wall %d: length %v, was %v", i, b.Length(), before[i])
		}
		nearest := math.Inf(1)
		for _, p := range (geom.Path{Points: b.Points, Closed: true}).Resample(0.1).Points {
			nearest = math.Min(nearest, p.Dist(quiet))
		}
		if d := b.Points[0].Dist(quiet); d > nearest+seamStep/2+0.05 {
			t.Errorf("wall %d starts %v mm from the quiet place, %v is possible", i, d, nearest)
		}
	}
	pts := []geom.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}
	for s := 0.0; s < 40; s += 0.37 {
		q := geom.Path{Points: startAt(pts, s), Closed: true}
		if math.Abs(q.Length()-40) > 1e-9 || q.Points[0].Dist((geom.Path{Points: pts, Closed: true}).At(s)) > seamMerge {
			t.Fatalf("started at %v: %v", s, q.Points)
		}
	}
}

// Border beads lie side by side against the outline, the ring at its distance:
// their lengths by Steiner's formula for a convex outline, L + 2πd.
func TestGrip(t *testing.T) {
	r := rectangleOf(50, 30)
	beads, err := Grip{Border: 3, Ring: 5}.beads(r, 0.6)
	if err != nil || len(beads) != 4 {
		t.Fatalf("%d beads, %v", len(beads), err)
	}
	for i, d := range []float64{5.3, 1.5, 0.9, 0.3} {
		if got, want := beads[i].Length(), 160+2*math.Pi*d; math.Abs(got-want) > 0.1 || beads[i].Kind != Border {
			t.Errorf("bead %d: %v mm long, want %v", i, got, want)
		}
	}
	if g := (Grip{Border: 3, Ring: 5}).Reach(0.6); math.Abs(g-5.6) > 1e-12 {
		t.Errorf("reach %v", g)
	}
	if _, err := (Grip{Border: 10, Ring: 5}).beads(r, 0.6); err == nil {
		t.Error("a ring within the border is laid")
	}
}

func rectangleOf(w, h float64) geom.Region {
	return geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: w}, geom.Point{X: w, Y: h}, geom.Point{Y: h})}
}

// Order keeps every bead and shortens the way between them.
func TestOrderOfBeads(t *testing.T) {
	var beads []Bead
	total := 0.0
	for k := range 60 {
		p := geom.Point{X: float64(k * 37 % 60), Y: float64(k * 11 % 7)}
		beads = append(beads, Bead{Points: []geom.Point{p, p.Add(geom.Point{Y: 3})}, Width: 0.6})
		total += 3
	}
	way := func(list []Bead) (travel, length float64) {
		for i := range list {
			length += list[i].Length()
			if i > 0 {
				travel += list[i-1].last().Dist(list[i].Points[0])
			}
		}
		return travel, length
	}
	before, _ := way(beads)
	after, length := way(inOrder(beads))
	if len(inOrder(beads)) != 60 || math.Abs(length-total) > 1e-9 || after > before/4 {
		t.Errorf("way %v from %v, %v mm laid of %v", after, before, length, total)
	}
}

func BenchmarkGyroid(b *testing.B) {
	for _, size := range []float64{50, 100, 200} {
		r, _ := plate(size, size, 5)
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			for b.Loop() {
				Fill{Pattern: Gyroid, Share: 0.3}.sparseBeads(r.Flatten(flattenWalls), 1, 1, 0.6)
			}
		})
	}
}
