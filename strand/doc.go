// Package strand turns phases into what the nozzle follows: centre lines with
// bead widths, cuts and order, and the plain plastic around them.
//
// # From phase to strands
//
// Strands are level lines of a family's phase. The six-node mesh is cut into
// small linear triangles, the lines are traced through them, pushed off edges
// they run along and cut back at edges they meet, joined end to end where that
// saves a short piece, sampled at equal steps, smoothed (Whittaker 1923), and
// given the width of their beads from the way to their neighbours. Pieces
// shorter than the way from cutter to nozzle are left out and counted: no short
// strand is ever laid.
//
// Edges that no strand may cut are tied: the phase is constant along them.
// Between two of them as many strands as there are spacings lie evenly; where a
// layer is shifted by half a spacing the shift fades towards tied edges, so
// that no strand comes to lie on one.
//
// Closed strands overlap their start; starts lie in quiet places, apart from
// each other. Strands of one layer are ordered for short travel (2-opt), and
// the order is turned round in every second layer of a family, so that each
// place is cut from opposite sides in turn.
//
// # Plain plastic
//
// Walls run along outline and holes in every layer, covers are filled with
// straight lines at 45°, -45°, 0° and 90° in turn, and what strands leave of a
// composite layer is filled with beads of varying width (see gaps.beads).
//
// # Conventions
//
// Millimetres; phases in strands. A closed strand's points repeat the first
// point where it closes, and the overlap follows. Half-beads: half the way to
// the neighbour along the normal, the whole way to the edge, at most half of the
// greatest spacing on either side.
//
// # Guarantees
//
// Every strand is at least as long as the cutter distance; its centre line
// keeps half of the least bead from the edge of the composite region; strands
// of one layer do not cross as long as the phase is single-valued. Equal inputs
// give equal bytes.
//
// No level line is laid with a bend below the tow's least radius: it is rounded,
// or ended there. Not guaranteed: widths within the printer's limits, which
// follow from the phase, and anything about paths laid as given; package check
// reports where they fail.
//
// Cost: tracing grows with the elements crossed, half-beads with the length of
// strand, patches with the area.
package strand
