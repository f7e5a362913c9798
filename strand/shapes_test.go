package strand

import (
	"math"

	"sinew/field"
	"sinew/geom"
	"sinew/mesh"
	"sinew/printer"
)

// six turns a mesh of corner triangles into one of six-node triangles.
func six(nodes []geom.Point, tris [][3]int32) *mesh.Mesh {
	m := &mesh.Mesh{Nodes: nodes}
	mid := map[[2]int32]int32{}
	between := func(a, b int32) int32 {
		k := [2]int32{min(a, b), max(a, b)}
		if _, ok := mid[k]; !ok {
			mid[k] = int32(len(m.Nodes))
			m.Nodes = append(m.Nodes, m.Nodes[a].Lerp(m.Nodes[b], 0.5))
		}
		return mid[k]
	}
	for _, t := range tris {
		m.Tris = append(m.Tris, [6]int32{t[0], t[1], t[2], between(t[0], t[1]), between(t[1], t[2]), between(t[2], t[0])})
	}
	return m
}

// plate is a rectangle from the origin, meshed in squares of the given size.
func plate(w, h, size float64) (geom.Region, *mesh.Mesh) {
	nx, ny := int(math.Round(w/size)), int(math.Round(h/size))
	var nodes []geom.Point
	for j := 0; j <= ny; j++ {
		for i := 0; i <= nx; i++ {
			nodes = append(nodes, geom.Point{X: w * float64(i) / float64(nx), Y: h * float64(j) / float64(ny)})
		}
	}
	var tris [][3]int32
	at := func(i, j int) int32 { return int32(j*(nx+1) + i) }
	for j := range ny {
		for i := range nx {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if (i+j)%2 == 0 {
				tris = append(tris, [3]int32{a, b, c}, [3]int32{a, c, d})
			} else {
				tris = append(tris, [3]int32{a, b, d}, [3]int32{b, c, d})
			}
		}
	}
	r := geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: w}, geom.Point{X: w, Y: h}, geom.Point{Y: h})}
	return r, six(nodes, tris)
}

// holed is a strip w × h about the origin with a hole of radius a, meshed in
// rings from the hole outwards. Its loop 1 is the hole.
func holed(w, h, a float64, around, rings int) (geom.Region, *mesh.Mesh) {
	var angles []float64
	for i := range around {
		angles = append(angles, 2*math.Pi*float64(i)/float64(around))
	}
	corner := math.Atan2(h, w)
	for _, c := range []float64{corner, math.Pi - corner, math.Pi + corner, 2*math.Pi - corner} {
		best := 0
		for i, v := range angles {
			if math.Abs(v-c) < math.Abs(angles[best]-c) {
				best = i
			}
		}
		angles[best] = c
	}
	var nodes []geom.Point
	for j := 0; j <= rings; j++ {
		t := math.Pow(float64(j)/float64(rings), 1.6)
		for _, v := range angles {
			d := geom.Point{X: math.Cos(v), Y: math.Sin(v)}
			out := math.Min(w/2/math.Max(1e-12, math.Abs(d.X)), h/2/math.Max(1e-12, math.Abs(d.Y)))
			nodes = append(nodes, d.Scale(a+t*(out-a)))
		}
	}
	var tris [][3]int32
	for j := range rings {
		for i := range around {
			p, q := int32(j*around+i), int32(j*around+(i+1)%around)
			r, s := q+int32(around), p+int32(around)
			tris = append(tris, [3]int32{p, s, r}, [3]int32{p, r, q})
		}
	}
	m := six(nodes, tris)
	for i, t := range m.Tris {
		for k := range 3 {
			p, q := t[k], t[(k+1)%3]
			if int(p) < around && int(q) < around {
				mid := m.Nodes[t[3+k]]
				m.Nodes[t[3+k]] = mid.Scale(a / mid.Norm())
				m.Boundary = append(m.Boundary, mesh.BoundaryEdge{A: p, B: q, Mid: t[3+k], Tri: int32(i), Loop: 1})
			}
		}
	}
	r := geom.Region{
		Outer: geom.Polyline(geom.Point{X: -w / 2, Y: -h / 2}, geom.Point{X: w / 2, Y: -h / 2}, geom.Point{X: w / 2, Y: h / 2}, geom.Point{X: -w / 2, Y: h / 2}),
		Holes: []geom.Loop{geom.Circle(geom.Point{}, a).Reverse()},
	}
	return r, m
}

// layupOf is a lay-up of one family in n layers, every second one shifted.
func layupOf(r geom.Region, m *mesh.Mesh, n int, phase func(geom.Point) float64, tied ...int) *field.Layup {
	f := field.Family{Name: "test", Mesh: m, TiedLoops: tied}
	for _, p := range m.Nodes {
		f.Phase = append(f.Phase, phase(p))
	}
	l := &field.Layup{Region: r, Families: []field.Family{f}}
	for i := range n {
		l.Layers = append(l.Layers, field.Layer{Shift: 0.5 * float64(i%2)})
	}
	return l
}

// card is a co-extruding printer of the usual limits.
func card() *printer.Card {
	return &printer.Card{
		CutterDistance: 45, TowRadius: 5, SpacingMin: 0.65, SpacingMax: 2,
		CompositeHeight: 0.32, PlasticHeight: 0.2, WallWidth: 0.6,
	}
}

// around is the stream function of a flow past a cylinder of radius a.
func around(a float64) func(geom.Point) float64 {
	return func(p geom.Point) float64 { return p.Y * (1 - a*a/p.Dot(p)) }
}
