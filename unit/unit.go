// Package unit turns quantities as users write them ("2.4 kN", "4.8 mm",
// "40 °C") into numbers and back.
package unit
