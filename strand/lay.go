package strand

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sinew/field"
	"sinew/geom"
	"sinew/internal/work"
	"sinew/printer"
)

// driftShare is how far, as a share of the least spacing, rounding a bend may
// move a strand off its level line.
const driftShare = 0.3

// layer makes the strands of one lay-up.
type layer struct {
	layup  *field.Layup
	limits limits
	set    Settings
	fringe fringe
	fine   []refined // of each family in use
	starts starts
	ends   endings
	own    *geom.Boundary // of the part or terrace
	laid   map[lineKey]laid
	halves [][]Halves // of each layer's strands, once they are finished
}

// lineKey tells layers that are drawn from the same level lines.
type lineKey struct {
	family int
	shift  float64
}

// laid is what the level lines of one family and shift give, before closed
// strands are started and all are ordered.
type laid struct {
	strands []Strand
	dropped Layer // its counts of pieces left out
}

func limitsOf(c *printer.Card) limits {
	lim := limits{
		cutter: c.CutterDistance, radius: c.TowRadius, least: c.SpacingMin, most: c.SpacingMax,
		composite: c.CompositeHeight, plastic: c.PlasticHeight, wall: c.WallWidth, gap: c.BeadToWall, pull: c.PullLength(),
		overhang: c.Overhang, support: c.Support,
		neighbours: c.NeighbourTime, pace: c.Composite.FeedMax,
	}
	if c.RestartFeed > 0 {
		lim.restart = c.RestartLength / c.RestartFeed
	}
	if c.Bridge != nil {
		lim.span, lim.flow = c.Bridge.Span, c.Bridge.Flow
	}
	if lim.bead = lim.most; c.BeadWidth() > 0 {
		lim.bead, lim.fixed = c.BeadWidth(), c.BeadWidth()
	}
	return lim
}

// Lay turns a lay-up into the whole print: the strands of each composite layer
// from the level lines of its family's phase, the plastic around them, and the
// stack's heights. Errors: a stack that misses the part's thickness, a phase
// that does not fit its mesh, walls that leave no room; or the context's.
func Lay(ctx context.Context, l *field.Layup, c *printer.Card, s Settings) (*Print, error) {
	lim := limitsOf(c)
	s = s.withDefaults(l)
	if err := validate(l); err != nil {
		return nil, err
	}
	pr := &Print{Region: s.Region, Composite: l.Region, SpacingMin: lim.least, SpacingMax: lim.most, BeadWidth: lim.fixed, Stagger: math.Max(0, s.Stagger)}
	layers, err := stack(len(l.Layers), lim, s)
	if err != nil {
		return nil, err
	}
	pr.Layers = layers
	m := newLayer(l, lim, s)
	m.makeLines(ctx)
	for i := range pr.Layers {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if pr.Layers[i].Kind == Composite {
			m.fill(&pr.Layers[i])
		}
	}
	m.finish(pr.Layers)
	pr.note()
	if s.Bare {
		return pr, nil
	}
	return pr, m.addPlastic(ctx, pr)
}

func validate(l *field.Layup) error {
	var errs []error
	for i, f := range l.Families {
		if len(f.Phase) != len(f.Mesh.Nodes) {
			errs = append(errs, fmt.Errorf("family %d (%s): %d phases for %d nodes; plan the field on this mesh", i, f.Name, len(f.Phase), len(f.Mesh.Nodes)))
		}
		if f.Active != nil && len(f.Active) != len(f.Mesh.Tris) {
			errs = append(errs, fmt.Errorf("family %d (%s): %d marks for %d elements; plan the field on this mesh", i, f.Name, len(f.Active), len(f.Mesh.Tris)))
		}
		for n, v := range f.Phase {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				errs = append(errs, fmt.Errorf("family %d (%s): phase is not a number at node %d", i, f.Name, n))
				break
			}
		}
	}
	for i, y := range l.Layers {
		if y.Family < 0 || y.Family >= len(l.Families) {
			errs = append(errs, fmt.Errorf("composite layer %d: there is no family %d", i, y.Family))
		}
	}
	errs = append(errs, validateLocks(l))
	return errors.Join(errs...)
}

func newLayer(l *field.Layup, lim limits, s Settings) *layer {
	m := &layer{layup: l, limits: lim, set: s, fine: make([]refined, len(l.Families))}
	m.fringe = fringe{l.Region, geom.NewBoundary(l.Region), lim.least / 2}
	m.ends.stagger = math.Max(0, s.Stagger)
	m.ends.bead = lim.most / 2
	m.own = geom.NewBoundary(s.Region)
	m.starts.quiet, m.starts.ends = s.Quiet, &m.ends
	m.laid = map[lineKey]laid{}
	for i := range l.Families {
		m.fine[i] = refine(&l.Families[i])
	}
	return m
}

// makeLines makes the strands of all layers that differ, side by side.
func (m *layer) makeLines(ctx context.Context) {
	var kinds []field.Layer
	for _, y := range m.layup.Layers {
		if !slices.Contains(kinds, y) {
			kinds = append(kinds, y)
		}
	}
	made := make([]laid, len(kinds))
	work.Each(len(kinds), m.set.Workers, func(i int) {
		if ctx.Err() == nil {
			made[i] = m.lines(kinds[i])
		}
	})
	for i, y := range kinds {
		m.laid[lineKey{y.Family, y.Shift}] = made[i]
	}
}

// fill takes the strands of one composite layer, and places their ends after
// those of the layers below.
func (m *layer) fill(out *Layer) {
	k := out.Composite
	ly := m.layup.Layers[k]
	out.Family, out.Shift, out.Plain = ly.Family, ly.Shift, m.layup.Families[ly.Family].Kind == field.Plain
	made := m.laid[lineKey{ly.Family, ly.Shift}]
	strands, d := slices.Clone(made.strands), made.dropped
	out.Traced = d.Traced
	out.Dropped, out.DroppedLength, out.DroppedAt, out.Opened = d.Dropped, d.DroppedLength, d.DroppedAt, d.Opened
	out.Turned, out.Added = d.Turned, d.Added
	m.ends.next()
	if m.set.Link {
		strands = m.link(strands)
	}
	m.close(strands)
	if m.ends.stagger > 0 {
		m.placeEnds(strands)
	}
	out.Strands = strands
}

// finish orders the strands of all layers, and says where the nozzle runs and
// how wide the beads are.
func (m *layer) finish(layers []Layer) {
	m.halves = make([][]Halves, len(layers))
	work.Each(len(layers), m.set.Workers, func(y int) {
		l := &layers[y]
		if l.Kind != Composite {
			return
		}
		if back := m.nth(l.Composite)%2 == 1; m.hurried(l.Strands) {
			l.Strands = alternately(l.Strands, back)
		} else {
			l.Strands = order(l.Strands, back)
		}
		l.Pull, l.PullMissed = m.drive(l.Strands)
		m.halves[y] = HalfBeads(l.Strands, m.layup.Region, m.limits.bead)
		for i, h := range m.halves[y] {
			l.Strands[i].Width = h.widths()
		}
	})
}

// lines makes the strands of one layer, by level.
func (m *layer) lines(ly field.Layer) laid {
	var out laid
	if m.layup.Families[ly.Family].Paths != nil {
		out.strands = m.drawn(ly.Family, ly.Shift)
		return out
	}
	locked := m.locked(ly.Family)
	lines := trace(&m.layup.Families[ly.Family], m.fine[ly.Family], ly.Shift)
	for _, l := range lines {
		out.dropped.Traced += l.path.Length()
	}
	for _, p := range m.pieces(lines, locked) {
		st := m.strand(p.run, p.level)
		st.Family = ly.Family
		if n := st.Length(); n < m.limits.cutter {
			out.dropped.drop(st.Points, n)
			continue
		}
		out.strands = append(out.strands, st)
	}
	out.strands = append(out.strands, locked...)
	out.strands = m.longEnough(m.fillet(out.strands), &out.dropped)
	for _, limit := range []func([]Strand, *Layer) ([]Strand, int){m.cutSharp, m.uncross, m.thin} {
		opened := 0
		out.strands, opened = limit(out.strands, &out.dropped)
		out.dropped.Opened += opened
	}
	out.strands, out.dropped.Added = m.add(out.strands, ly.Family, ly.Shift, &out.dropped)
	for i := range out.strands {
		m.smoothOut(&out.strands[i])
	}
	out.strands, out.dropped.Turned = m.turns(out.strands)
	return out
}

// smoothOut lays a strand onto the arcs fitted to it, unless the fit, by a few
// micrometres, would bend it below the limit.
func (m *layer) smoothOut(s *Strand) {
	if m.given(s) {
		return
	}
	t := *s
	t.Points = ontoArcs(s.Points, s.Closed, m.set.Step)
	m.fringe.hold(t.Points, t.Closed)
	if tightest(t.Radii()) >= m.limits.radius {
		*s = t
	}
}

// pieces returns the stretches of level lines that lie inside, by level, clear
// of the strands that are locked in the layer.
func (m *layer) pieces(lines []rawLine, locked []Strand) []piece {
	var out []piece
	for _, line := range lines {
		for _, r := range m.fringe.clip(line.path) {
			out = append(out, piece{r, line.level, polyLength(r.pts)})
		}
	}
	out = m.around(out, locked)
	for _, s := range locked { // in the way of bridges, themselves never joined
		out = append(out, piece{run{pts: s.Once(), closed: true}, math.NaN(), math.Inf(1)})
	}
	out = m.fringe.merge(out, m.limits.cutter, m.limits.most)
	return slices.DeleteFunc(out, func(p piece) bool { return math.IsNaN(p.level) })
}

// longEnough leaves out strands that rounding has made too short.
func (m *layer) longEnough(strands []Strand, dropped *Layer) []Strand {
	return slices.DeleteFunc(strands, func(s Strand) bool {
		n := s.Length()
		if m.given(&s) || n >= m.limits.cutter {
			return false
		}
		dropped.drop(s.Points, n)
		return true
	})
}

// drop counts a piece that is too short.
func (l *Layer) drop(pts []geom.Point, length float64) {
	l.Dropped++
	l.DroppedLength += length
	if length > l.droppedMost {
		l.DroppedAt, l.droppedMost = pts[len(pts)/2], length
	}
}

func (h Halves) widths() []float64 {
	w := make([]float64, len(h.Left))
	for i := range w {
		w[i] = h.Width(i)
	}
	return w
}

// nth returns how many layers below composite layer k hold the same family.
func (m *layer) nth(k int) int {
	n := 0
	for _, y := range m.layup.Layers[:k] {
		if y.Family == m.layup.Layers[k].Family {
			n++
		}
	}
	return n
}

// strand samples and smooths a stretch.
func (m *layer) strand(r run, level float64) Strand {
	pts, step := even(r.pts, r.closed, m.set.Step)
	pts = fair(pts, r.closed, step, m.limits.radius, all(len(pts), driftShare*m.limits.least))
	m.fringe.hold(pts, r.closed)
	pts, _ = even(pts, r.closed, m.set.Step)
	return Strand{
		Points: pts, Closed: r.closed, Start: r.start, End: r.end,
		StartLoop: r.loops[0], EndLoop: r.loops[1], Level: level,
	}
}

// even resamples a line at equal steps and returns the step; a closed line
// repeats its first point before and after.
func even(pts []geom.Point, closed bool, step float64) ([]geom.Point, float64) {
	path := geom.Path{Points: pts, Closed: closed}
	if closed {
		path.Points = pts[:len(pts)-1]
	}
	length := path.Length()
	out := path.Resample(step).Points
	n := len(out) - 1
	if closed {
		out = append(out, out[0])
		n++
	}
	return out, length / float64(max(1, n))
}

// hold moves points that smoothing brought too near to the edge back to the
// clear distance.
func (e fringe) hold(pts []geom.Point, closed bool) {
	for i, p := range pts {
		if d, n := e.place(p); d < e.clear {
			pts[i] = p.Add(inward(p, n, d).Scale(e.clear - d))
		}
	}
	if closed {
		pts[len(pts)-1] = pts[0]
	}
}

// close gives the closed strands a start place and an overlap.
func (m *layer) close(strands []Strand) {
	var gaps []Halves // where nothing tells what is quiet
	for i := range strands {
		s := &strands[i]
		if !s.Closed {
			continue
		}
		var gap []float64
		if m.starts.quiet == nil {
			if gaps == nil {
				gaps = HalfBeads(strands, m.layup.Region, m.limits.most)
			}
			gap = gaps[i].widths()
		}
		once := s.Once()
		s.Points, s.Overlap = overlap(rotate(once, m.starts.choose(once, gap)), m.set.Overlap)
	}
}

// note says what was joined, ended and dropped: once for all layers of which the same is so,
// counted from 1 as in the findings and the program.
func (pr *Print) note() {
	var texts []string
	of := map[string][]string{}
	for i := range pr.Layers {
		l := &pr.Layers[i]
		for _, text := range l.notes() {
			if of[text] == nil {
				texts = append(texts, text)
			}
			of[text] = append(of[text], strconv.Itoa(l.Index+1))
		}
	}
	for _, text := range texts {
		word := "layer"
		if len(of[text]) > 1 {
			word = "layers"
		}
		pr.Notes = append(pr.Notes, fmt.Sprintf("%s %s: %s", word, strings.Join(of[text], ", "), text))
	}
}

func (l *Layer) notes() []string {
	var out []string
	say := func(format string, figures ...any) { out = append(out, fmt.Sprintf(format, figures...)) }
	if l.Turned > 0 {
		say("%d half-turns join ends of strands, each saves a cut", l.Turned)
	}
	if l.Added > 0 {
		say("%d strands were added where beads of fixed width left room", l.Added)
	}
	if l.Pull > 0 {
		say("bends pull the tow inwards by up to %.2f mm, which the nozzle's path allows for to within %.3f mm", l.Pull, math.Ceil(l.PullMissed*1e3)/1e3)
	}
	if l.Opened > 0 {
		say("strands end at %d places where more of them would pass than fit or the tow could not follow the bend", l.Opened)
	}
	if l.Dropped > 0 {
		say("%d pieces of level lines, %.0f mm in all, are shorter than the cutter allows and were left out", l.Dropped, l.DroppedLength)
	}
	return out
}
