package drawing

import (
	"slices"

	"sinew/geom"
)

// Line is a run of pieces joined end to end, open or closed.
type Line struct {
	Edges  geom.Loop // in order; each begins where the one before it ends
	Closed bool
	Layer  string // of its pieces
	Place  string // of its first piece, such as "line 120"
}

// Path flattens the line: chords stay within tol of its arcs.
func (l Line) Path(tol float64) geom.Path {
	pts := []geom.Point{l.Edges[0].A}
	for _, e := range l.Edges {
		pts = append(pts, e.Flatten(tol)[1:]...)
	}
	if l.Closed {
		pts = pts[:len(pts)-1]
	}
	return geom.Path{Points: pts, Closed: l.Closed}
}

// Lines joins the pieces to lines, in the file's order: two pieces of one layer
// that meet alone at a point go on into each other; where more meet the lines
// end. Repairs are added to the drawing's notes.
func (d *Drawing) Lines(s JoinSettings) ([]Line, error) {
	pieces, err := d.onLayers(s.Layers)
	if err != nil {
		return nil, err
	}
	j := newJoiner(pieces)
	j.dropDoubles(d)
	j.closeGaps(d, s.Tolerance)
	used := slices.Clone(j.gone)
	var out []Line
	for i := range j.pieces {
		if !used[i] {
			out = append(out, j.line(i, used))
		}
	}
	if len(out) == 0 {
		return nil, &Error{What: "no line or arc is left", Remedy: "check the layers"}
	}
	return out, nil
}

// line returns the line through a piece, in that piece's direction.
func (j *joiner) line(start int, used []bool) Line {
	used[start] = true
	first := j.pieces[start]
	out := Line{Layer: first.Label, Place: first.Place}
	from, to := j.ends[start][0], j.ends[start][1]
	out.Edges = geom.Loop{j.between(start, from)}
	for to != from {
		i := j.onward(to, first.Label, used)
		if i < 0 {
			break
		}
		used[i] = true
		out.Edges = append(out.Edges, j.between(i, to))
		to = j.other(i, to)
	}
	if out.Closed = to == from; out.Closed {
		return out
	}
	for {
		i := j.onward(from, first.Label, used)
		if i < 0 {
			return out
		}
		used[i] = true
		from = j.other(i, from)
		out.Edges = slices.Insert(out.Edges, 0, j.between(i, from))
	}
}

// onward returns the piece that alone goes on from a node on the same layer, -1
// when there is none.
func (j *joiner) onward(node int, layer string, used []bool) int {
	if len(j.touch[node]) != 2 {
		return -1
	}
	for _, i := range j.touch[node] {
		if !used[i] && j.pieces[i].Label == layer {
			return i
		}
	}
	return -1
}

// other returns the node at the far end of a piece.
func (j *joiner) other(piece, node int) int {
	if j.ends[piece][0] == node {
		return j.ends[piece][1]
	}
	return j.ends[piece][0]
}

// between returns the piece as an edge that begins at the node.
func (j *joiner) between(piece, node int) geom.Edge {
	e := j.pieces[piece].Edge
	if j.ends[piece][0] != node {
		e = e.Reverse()
	}
	e.A, e.B = j.at[node], j.at[j.other(piece, node)]
	return e
}
