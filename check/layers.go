package check

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/strand"
)

// Limits of the rules on layers.
const (
	// cell is the side of the squares in which gaps and overlaps are measured,
	// mm: a fifth of the narrowest bead.
	cell = 0.12
	// deepGap, mm, is the half-width from which a gap counts: a narrower one,
	// such as every strand leaves between its end and an edge, closes when the
	// beads are ironed.
	deepGap = 0.2
	// overlapWarn and gapWarn are the shares of a layer's area from which
	// overlaps and gaps are warned of.
	overlapWarn = 0.01
	gapWarn     = 0.02
	// stackSlack is by how much the stack may miss the part's thickness, mm.
	stackSlack = 0.01
)

func layerRules() []Rule {
	return []Rule{
		{"overlap", Note, "beads lie on one another (warn from 1 % of the layer's area)", "widen the spacing there; shorten the overlap of closed strands", overlaps},
		{"gap", Note, "places that neither strand nor plastic fills (warn from 2 % of the layer's area)", "tighten the spacing, or accept the void: it is counted as empty in the proof", gaps},
		{"empty-layer", Warn, "a composite layer that is not plain holds no strand", "lower the spacing of its family, or drop the layer", emptyLayers},
		{"dropped", Note, "pieces of level lines too short to be cut were left out", "turn the family, or accept that the place is plastic", dropped},
		{"thickness", Stop, "the stack misses the part's thickness", "change the thickness, the number of layers or the covers", thickness},
		{"no-cover-below", Warn, "the printer's card wants a plastic layer under the composite and there is none", "add a bottom cover", coverBelow},
		{"no-cover-above", Warn, "the printer's card wants a plastic layer over the composite and there is none", "add a top cover", coverAbove},
	}
}

// raster returns the layer with all its beads.
func raster(in Input, l *strand.Layer) *strand.Raster {
	if r := in.rasters[l.Index]; r != nil {
		return r
	}
	pr := in.Print
	r := pr.Raster(l, cell)
	r.AddStrands(l.Strands, pr.Halves(l), pr.SpacingMin, true)
	r.AddBeads(l.Beads)
	in.rasters[l.Index] = r
	return r
}

func overlaps(in Input) []Finding {
	return eachLayer(in, func(l *strand.Layer) []Finding {
		r := raster(in, l)
		return areaFinding(r, l, r.Overlapped, 0, overlapWarn, "beads overlap on %.1f mm², %.1f %% of the layer; the widest such place is %.2g mm across")
	})
}

func gaps(in Input) []Finding {
	return eachLayer(in, func(l *strand.Layer) []Finding {
		r := raster(in, l)
		return areaFinding(r, l, r.Gap, deepGap, gapWarn, "%.1f mm², %.1f %% of the layer, lie under no bead; the widest such place is %.2g mm across")
	})
}

// areaFinding reports the squares for which test holds, unless the deepest of
// them lies no deeper than least.
func areaFinding(r *strand.Raster, l *strand.Layer, test func(int) bool, least, warn float64, text string) []Finding {
	c, depth := r.Deepest(test)
	if c < 0 || depth <= least {
		return nil
	}
	area := r.Area(test)
	share := area / r.Area(func(c int) bool { return r.Inside[c] })
	p := r.Center(c%r.NX, c/r.NX)
	f := Finding{Severity: unset, Layer: l.Index, X: p.X, Y: p.Y, Count: r.Islands(test), What: fmt.Sprintf(text, area, 100*share, 2*depth)}
	if share >= warn {
		f.Severity = Warn
	}
	return []Finding{f}
}

func emptyLayers(in Input) []Finding {
	return eachLayer(in, func(l *strand.Layer) []Finding {
		if len(l.Strands) > 0 || l.Plain {
			return nil
		}
		p := in.Print.Region.Bounds().Middle()
		return []Finding{{Severity: unset, Layer: l.Index, X: p.X, Y: p.Y, Count: 1, What: "this composite layer holds no strand"}}
	})
}

func dropped(in Input) []Finding {
	return eachLayer(in, func(l *strand.Layer) []Finding {
		if l.Dropped == 0 {
			return nil
		}
		return []Finding{{Severity: unset, Layer: l.Index, X: l.DroppedAt.X, Y: l.DroppedAt.Y, Count: l.Dropped,
			What: fmt.Sprintf("%d pieces of level lines, %.0f mm in all, were too short to be laid; the longest lay here", l.Dropped, l.DroppedLength)}}
	})
}

func thickness(in Input) []Finding {
	if in.Print == nil || in.Part == nil || len(in.Print.Layers) == 0 || in.Part.Thickness == 0 {
		return nil
	}
	top := in.Print.Layers[len(in.Print.Layers)-1].Z
	if math.Abs(top-in.Part.Thickness) <= stackSlack {
		return nil
	}
	p := in.Print.Region.Bounds().Middle()
	return []Finding{{Severity: unset, Layer: -1, X: p.X, Y: p.Y, Count: 1,
		What: fmt.Sprintf("the stack is %.4g mm thick, the part %.4g mm", top, in.Part.Thickness)}}
}

func coverBelow(in Input) []Finding {
	return uncovered(in, wantsCoverBelow, func(i int) int { return i - 1 }, "under")
}

func coverAbove(in Input) []Finding {
	return uncovered(in, wantsCoverAbove, func(i int) int { return i + 1 }, "over")
}

// uncovered finds the composite layer at the end of the stack where the card
// wants plastic.
func uncovered(in Input, wants func(Input) bool, next func(int) int, word string) []Finding {
	if in.Print == nil || !wants(in) {
		return nil
	}
	for i, l := range in.Print.Layers {
		k := next(i)
		if l.Kind == strand.Composite && (k < 0 || k >= len(in.Print.Layers)) {
			p := first(l)
			return []Finding{{Severity: unset, Layer: l.Index, X: p.X, Y: p.Y, Count: 1,
				What: fmt.Sprintf("no plastic layer lies %s composite layer %d", word, l.Index)}}
		}
	}
	return nil
}

func first(l strand.Layer) geom.Point {
	if len(l.Strands) == 0 {
		return geom.Point{}
	}
	return l.Strands[0].Points[0]
}
