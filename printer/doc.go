// Package printer knows what a printer can do: its process, bed and tools, the
// limits of its tow and plastic, how it moves, and the words it understands.
// All of it comes from a printer card; no machine is built in.
//
// # Process
//
// Two kinds. CoExtruded: tow and plastic meet in the nozzle, so that spacing
// and tow share vary freely within limits. PreImpregnated: one input, a
// filament of tow and plastic in a fixed share; the bead is ironed flat to one
// width. Either kind may have a second nozzle for plain plastic.
//
// # Words
//
// A card's templates hold the machine's words for tools, heat, cuts and so on,
// in the syntax of Go's text/template cut down to text and values: {{.Field}}
// or {{function .Field}}. There are no conditions, loops, variables or nested
// templates, so that a template is rendered in time and size bounded by its
// own length, and the same template serves to recognise its words in a program
// that is read. See docs/format/printer.md.
//
// # Motion
//
// The nozzle follows straight moves, each at no more than its feed, with one
// acceleration along the path. At a corner that turns by θ it may pass with
// the speed v at which the velocity changes by no more than the card's corner
// step:
//
//	|Δv| = 2·v·sin(θ/2) ≤ step
//
// Braking distances are kept by looking ahead over all moves up to the next
// stop. This is the time-optimal passage for these limits; controllers that
// look ahead over few moves are slower on very short ones.
//
// Units: mm, s, °C, mm/s, mm/s², mm³/s. Positions on the bed are measured from
// its corner of least x and y (of the enclosing square, where it is round).
//
// Limits: no limits per axis, no jerk limit, no flow dynamics in the nozzle.
package printer
