// Package unit turns quantities as users write them ("2.4 kN", "4.8 mm",
// "40 °C") into numbers and back.
//
// A quantity is a decimal number and a unit symbol. Which symbols are allowed
// follows from the [Kind] of quantity that is asked for, so that "40 kg" is
// refused where a force is wanted, with a message that says so. Inside sinew
// a quantity is a plain float64 in the units
//
//	length mm · force N · stress MPa · angle rad · temperature °C ·
//	temperature difference K · time s · mass g
//
// and what follows from them (mm², g/mm³, mm/s, N·mm …). Exceptions, because
// nobody thinks in them otherwise: prices are per kg, per m and per h,
// conductivity is W/(m·K), specific heat J/(g·K), power W, energy J.
//
// Numbers are read as decimals and, where the unit differs from sinew's by a
// power of ten, shifted before they are rounded: "0.7 cm" is the float64
// nearest to 7, as "7 mm" is. [Format] writes the shortest text that [Parse]
// reads back to the very same float64.
//
// Accepted spellings: a space between number and unit or none; a decimal
// point, never a comma; "²" "2" or "^2"; "·" "*" or a space in products; "µ" or
// "u" for micro; "−" or "-". Infinity, NaN, hexadecimal and digit separators
// are refused, and so are numbers that a float64 cannot hold.
//
// Definitions of the inch, pound-force, standard gravity and bar: BIPM, The
// International System of Units, 9th ed. 2019, and NIST SP 811, 2008 ed.,
// appendix B.8.
package unit
