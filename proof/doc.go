// Package proof analyses the part as it will be printed, and the designs it
// is compared with.
//
// It answers: at what multiple of each load case does something first fail,
// what is it, where and in which layer; and what would the same part be worth
// drilled from a quasi-isotropic laminate, laid with straight fibre, milled
// from metal or printed in plain plastic?
//
// # Method
//
// AsPrinted finds for each composite layer which bead lies at each integration
// point: that of the nearest strand, if the point lies within its half-bead
// (half the way to the neighbour, the whole way to the edge of the area, at
// most half the greatest spacing). The bead's width gives the strands per mm
// that the law of the material knows, the strand gives the direction; where no
// bead lies there is plain plastic. Walls and covers are plastic. The stack is
// analysed by package stress; layer strains give indices of fibre tension,
// fibre compression and matrix, plain plastic is judged by its own strength.
//
// A design fails at 1/index. The index that is quoted is the mean over a disc
// (default radius 1 mm), the same for every design, over those points of the
// disc that hold the same material; the unaveraged peak stands beside it. It
// does not converge with the mesh where the material changes from bead to
// bead.
//
// # Guarantees
//
// All designs are judged on the same mesh, loads, disc and mask, at the same
// thickness. Same input, same bits, for any number of workers.
//
// # Limits
//
// Linear, first failure of each kind in the plane: no growth of damage, no
// buckling, no failure between layers. Bearing at a pin is judged by mean
// pressure against a stated allowable, and by the indices under the cosine
// pressure; contact and clearance are not modelled.
//
// # Conventions
//
// mm, N, MPa, g, s, rad; strains and stresses 11, 22, 12.
package proof
