// Package check says what printer or material forbids in a print: findings
// with a place, a severity and a remedy.
//
// Each rule is one row of a table (Rules, printed in docs/method/findings.md):
// a stable name, a severity, what is looked for, what to do about it. A rule
// gives at most one finding for a layer: the worst place, and how many places
// it stands for. Severities: stop, the print cannot be made or would fail, and
// no program is written; warn, it can be made but is worse than it could be;
// note, worth knowing. A few rules raise or lower their severity with the size
// of what they find; the table says so.
//
// What is judged is geometry and card values alone: lengths, radii, widths and
// areas of the strands as they stand in the print, whoever made them, so that a
// program read back is judged by the same rules. The stress enters only as a
// list of places and values from the caller.
//
// Not judged: the strength of the part, the quality of bonding, anything that
// happens in time (heat, warping).
//
// Lengths are millimetres, temperatures °C.
package check
