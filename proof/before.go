package proof

import (
	"maps"
	"slices"

	"sinew/geom"
	"sinew/part"
)

// judgedCase is what was found under one case, and from what.
type judgedCase struct {
	state   *state
	zone    []bool
	margins [][][]Margin     // by ply and rule
	means   [][2][]float64   // by ply: of fibre and matrix, over discs
	holes   []map[int]Margin // by ply: the least margin around each loaded hole
}

// take judges one ply by every rule.
func (c *judgedCase) take(j *judge, plies []ply, y int, fields []indexField) {
	rules := Rules()
	c.margins[y] = make([][]Margin, len(rules))
	c.holes[y] = map[int]Margin{}
	var share []float64
	for k, f := range fields {
		if k == 0 || !sameList(f.holds, fields[k-1].holds) { // the modes of a bead hold in the same place
			share = j.shareOf(f.holds)
		}
		mean := j.meanOver(&f, share)
		for k, r := range rules {
			c.margins[y][k] = append(c.margins[y][k], j.margins(r, &f, mean, plies, c.zone)...)
		}
		for feature, near := range j.around {
			m, ok := j.margin(j.set.EdgeRule(), &f, mean, plies, near, true)
			if old, known := c.holes[y][feature]; ok && (!known || m.Reserve < old.Reserve) {
				c.holes[y][feature] = m
			}
		}
		switch f.mode {
		case FibreTension, FibreCompression:
			c.means[y][0] = worst(c.means[y][0], mean)
		case Matrix:
			c.means[y][1] = mean
		}
	}
}

// sameList reports whether two lists are one in memory.
func sameList(a, b []bool) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// mapsBefore returns the print's maps onto the points as an earlier examination
// made them, nil where it has none for these points and grips.
func (p *prover) mapsBefore() []LayerMap {
	e := p.in.Before
	if e == nil || e.prover.in.Print != p.in.Print || e.prover.set.Transfer != p.set.Transfer ||
		!slices.Equal(e.prover.points, p.points) || !slices.Equal(gripEdges(e.prover.in.Part), gripEdges(p.in.Part)) {
		return nil
	}
	return e.maps
}

// caseBefore returns what an earlier examination found under a case that loads
// and strains the part alike; nil where there is none.
func (p *prover) caseBefore(c *judgedCase, plies []ply) *judgedCase {
	e := p.in.Before
	if e == nil || p.found == nil || len(p.found.maps) == 0 || len(e.maps) == 0 || &p.found.maps[0] != &e.maps[0] ||
		len(plies) != len(e.plies) || !sameJudging(p.set, e.prover.set) ||
		!slices.Equal(p.masked, e.prover.masked) || !sameFeatures(p.in.Part, e.prover.in.Part) ||
		!maps.EqualFunc(p.around, e.prover.around, func(a, b []bool) bool { return len(a) == len(b) }) {
		return nil
	}
	i := slices.IndexFunc(e.cases, func(old judgedCase) bool {
		return slices.Equal(old.state.warm, c.state.warm) && slices.Equal(old.zone, c.zone) && slices.Equal(old.state.strain, c.state.strain)
	})
	if i < 0 {
		return nil
	}
	return &e.cases[i]
}

// sameJudging reports whether two settings judge alike.
func sameJudging(a, b Settings) bool {
	same := a.MatrixCriterion() == b.MatrixCriterion()
	a.Criterion, a.Workers = b.Criterion, b.Workers
	return same && a == b
}

// sameFeatures reports whether margins that name features by their number mean
// the same ones.
func sameFeatures(a, b *part.Part) bool {
	return slices.EqualFunc(a.Features, b.Features, func(f, g part.Feature) bool {
		return f.Kind == g.Kind && f.Loop == g.Loop && slices.Equal(f.Edges, g.Edges)
	})
}

// gripEdges lists the edges of the outline that are held or loaded.
func gripEdges(p *part.Part) []geom.Edge {
	if p == nil {
		return nil
	}
	var edges []geom.Edge
	add := func(feature int) {
		f := &p.Features[feature]
		if f.Kind != part.Side || f.Loop != 0 {
			return
		}
		for _, e := range f.Edges {
			edges = append(edges, p.Region.Outer[e])
		}
	}
	for _, s := range p.Supports {
		add(s.Feature)
	}
	for _, c := range p.Cases {
		for _, l := range c.Loads {
			add(l.Feature)
		}
	}
	return edges
}
