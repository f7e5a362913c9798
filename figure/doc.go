// Package figure draws results: the part with what acts on it, fields over
// its mesh, strands layer by layer, findings. The report and the browser page
// show the same drawings.
//
// A drawing is one self-contained SVG: the part to scale with a scale bar,
// a caption, and a legend with unit for each colour scale. Colours come from
// two ramps that stay readable for colour-blind readers and in grey print:
// a sequential one from light to dark, and a diverging one around zero.
// Coordinates are millimetres of the part, y upwards; the writer flips them.
//
// Output is deterministic: the same input gives the same bytes.
package figure
