package unit_test

import (
	"fmt"

	"sinew/unit"
)

func Example() {
	force, err := unit.Parse("2.4 kN", unit.Force)
	fmt.Println(force, err)
	fmt.Println(unit.Format(force, unit.Force))
	_, err = unit.Parse("4.8", unit.Length)
	fmt.Println(err)
	_, err = unit.Parse("40 kg", unit.Force)
	fmt.Println(err)
	// Output:
	// 2400 <nil>
	// 2.4 kN
	// "4.8" has no unit; write for example "4.8 mm"
	// "40 kg" is a mass where a force is wanted; use N, mN, kN, MN, lbf
}
