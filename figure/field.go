package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/geom"
	"sinew/mesh"
)

// quantileOf returns the q-quantile of v, which it sorts.
func quantileOf(v []float64, q float64) float64 {
	slices.Sort(v)
	return v[min(int(q*float64(len(v))), len(v)-1)]
}

// Field fills each element of the mesh with the colour of its value. NaN
// leaves an element blank.
func (d *Drawing) Field(m *mesh.Mesh, perTri []float64, s Scale) {
	paths := make([]strings.Builder, bands)
	for t, tri := range m.Tris {
		if math.IsNaN(perTri[t]) {
			continue
		}
		corners := []geom.Point{m.Nodes[tri[0]], m.Nodes[tri[1]], m.Nodes[tri[2]]}
		paths[s.band(perTri[t])].WriteString(d.polyline(corners, true))
	}
	for k := range paths {
		if paths[k].Len() > 0 {
			c := s.colour(k)
			fmt.Fprintf(&d.body, `<path d="%s" fill="%s" stroke="%s" stroke-width="0.4"/>`+"\n", paths[k].String(), c, c)
		}
	}
	d.Legend(s)
}

// Cross is a pair of principal directions at a point.
type Cross struct {
	At     geom.Point
	Angle  float64 // of the first principal direction, rad
	S1, S2 float64 // principal values
}

// Crosses draws principal directions: stroke length by magnitude, tension
// (pull) in the load's colour, compression in the support's. Crosses nearer
// than pitch mm to one already drawn are left out.
func (d *Drawing) Crosses(list []Cross, pitch float64) {
	top := 0.0
	for _, c := range list {
		top = math.Max(top, math.Max(math.Abs(c.S1), math.Abs(c.S2)))
	}
	if top == 0 {
		return
	}
	taken := map[[2]int]bool{}
	var pull, push strings.Builder
	for _, c := range list {
		cell := [2]int{int(math.Floor(c.At.X / pitch)), int(math.Floor(c.At.Y / pitch))}
		if taken[cell] {
			continue
		}
		taken[cell] = true
		for k, s := range []float64{c.S1, c.S2} {
			half := 0.55 * pitch * math.Sqrt(math.Abs(s)/top) // square root: weak places stay visible
			dir := geom.Point{X: math.Cos(c.Angle), Y: math.Sin(c.Angle)}
			if k == 1 {
				dir = dir.Left()
			}
			stroke := "M" + d.point(c.At.Sub(dir.Scale(half))) + "L" + d.point(c.At.Add(dir.Scale(half)))
			if s >= 0 {
				pull.WriteString(stroke)
			} else {
				push.WriteString(stroke)
			}
		}
	}
	fmt.Fprintf(&d.body, `<path d="%s" stroke="%s" stroke-width="1.1" fill="none"/>`+"\n", pull.String(), loadInk)
	fmt.Fprintf(&d.body, `<path d="%s" stroke="%s" stroke-width="1.1" fill="none"/>`+"\n", push.String(), holdInk)
}
