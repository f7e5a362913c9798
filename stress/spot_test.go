package stress

import (
	"math/rand"
	"testing"

	"sinew/geom"
	"sinew/internal/near"
	"sinew/mesh"
	"sinew/part"
)

// TestStrainsAtPlaces: a quadratic displacement lies in the element's space,
// so its linear strain is met at any place of straight-sided elements; a point
// outside the plate has no place.
func TestStrainsAtPlaces(t *testing.T) {
	r := geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 10}, geom.Point{X: 12, Y: 7}, geom.Point{Y: 5})}
	m, err := mesh.Generate(r, mesh.Settings{Size: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	p := &part.Part{
		Region: r, Thickness: 1, Features: []part.Feature{{Name: "left", Kind: part.Side, Edges: []int{3}}},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}}, Cases: []part.Case{{Name: "none", Factor: 1}},
	}
	s, err := NewSystem(m, p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	u := make([]float64, 2*len(m.Nodes))
	for i, q := range m.Nodes {
		u[2*i] = 1e-3 * (q.X*q.X - 2*q.X*q.Y + 3*q.Y)
		u[2*i+1] = 1e-3 * (0.5*q.Y*q.Y + q.X*q.Y - q.X)
	}
	rnd := rand.New(rand.NewSource(3))
	points := []geom.Point{{X: -1, Y: 2}}
	for range 300 {
		points = append(points, geom.Point{X: 10 * rnd.Float64(), Y: 5 * rnd.Float64()})
	}
	places, ok := s.Locate(points)
	if ok[0] {
		t.Error("a point left of the plate has a place")
	}
	for i, e := range s.StrainsAt(places[1:], u) {
		q := points[1+i]
		if !ok[1+i] {
			t.Fatalf("(%g, %g) has no place", q.X, q.Y)
		}
		want := [3]float64{1e-3 * (2*q.X - 2*q.Y), 1e-3 * (q.Y + q.X), 1e-3 * (-2*q.X + 3 + q.Y - 1)}
		for k := range want {
			if !near.Equal(e[k], want[k], 1e-12, 1e-9) {
				t.Fatalf("at (%g, %g): strain %v, want %v", q.X, q.Y, e, want)
			}
		}
	}
}
