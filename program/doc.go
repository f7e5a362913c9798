// Package program writes the machine program of a print, reads it back, and
// says what a program prints and what forbids it.
//
// # Writing
//
// Write turns strands and beads into blocks of ISO 6983 words. Moves are G0
// (travel) and G1 (print) with X, Y, Z in mm, F in mm/min, and the card's
// letter for the plastic's feed in mm of filament; all other words come from
// the printer card's templates. Plastic in a strand fills what the tow leaves
// of the bead:
//
//	feed per mm = (width·height − tow area) / filament area, at least 0
//
// A strand is: travel to its start, tow fed down, a slow anchor, the run with
// feeds bounded by bends and by the flow of plastic, the cut the cutter's
// distance before the end, and the tail. Rounding of the plastic's feed is
// carried from block to block, so that sums stay exact.
//
// # Reading
//
// Scan interprets a program block by block, with the printer card alone. A
// word the card does not know is an error with line and column; what the card
// forbids is a Finding with its line. Strands and beads are handed to a
// Visitor as they end, so that memory does not grow with the program. Read
// keeps them all; Compare sets them against the plan; Play shows place, speed,
// heat and bead by time.
//
// Units: mm, s, °C, mm/s, mm³. Positions that are read are on the bed.
//
// Limits: what a block means beyond the card's words is not known.
package program
