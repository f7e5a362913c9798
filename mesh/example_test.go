package mesh_test

import (
	"fmt"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/mesh"
)

func ExampleGenerate() {
	plate := shapes.Strip(150, 36, 12) // a hole of 12 mm in the middle
	m, err := mesh.Generate(plate, mesh.Settings{Size: 4})
	if err != nil {
		fmt.Println(err)
		return
	}
	q := m.Quality()
	fmt.Printf("angles of at least 28°: %v\n", q.LeastAngle >= 28)
	_, _, ok := mesh.NewLocator(m).Find(geom.Point{X: 1, Y: 1})
	fmt.Printf("the hole's middle is meshed: %v\n", ok)
	// Output:
	// angles of at least 28°: true
	// the hole's middle is meshed: false
}
