package card_test

import (
	"fmt"

	"sinew/card"
	"sinew/unit"
)

func Example() {
	c, err := card.Parse([]byte(`
schema = "sinew-card/1"
kind = "metal"
id = "example-metal"
title = "A metal"
version = "1"

[value]
density = { is = "2.7 g/cm³", source = "invented" }
modulus = { is = "70", source = "invented" }
`), "example-metal.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	r := c.Reader()
	fmt.Println(r.Number("density", unit.Density, 0, 0.03))
	r.Number("modulus", unit.Stress, 1, 1e6)
	r.Number("poisson", unit.Share, -1, 0.5)
	fmt.Println(r.Done())
	// Output:
	// 0.0027
	// example-metal.toml:8:2: value.poisson: is missing; add it below [value], such as 5 %
	// example-metal.toml:10:1: value.modulus: "70" has no unit; write for example "70 MPa"
}
