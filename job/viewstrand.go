package job

import (
	"context"
	"math"
	"slices"

	"sinew/geom"
	plates "sinew/plate"
	"sinew/strand"
)

// strandLines holds the lines of every distinct layer, made once.
type strandLines struct {
	of     []int // group of each layer
	groups [][]int
	use    [][][]float64 // per group, strand and point: index of fibre failure; nil before the proof
}

// lines groups the layers and, after the proof, reads how hard each point of
// each strand is used.
func (v *Views) lines(ctx context.Context) (*strandLines, error) {
	if v.lay == nil {
		return nil, noView("no strands are laid yet")
	}
	v.mu.Lock()
	l := v.strands
	v.mu.Unlock()
	if l != nil {
		return l, nil
	}
	l = &strandLines{}
	l.groups, l.of = v.layerGroups()
	if v.proof != nil && len(v.proof.Designs) > 0 {
		l.use = make([][][]float64, len(l.groups))
		for g := range l.groups {
			use, err := v.useOf(ctx, l.groups[g][0])
			if err != nil {
				return nil, err
			}
			l.use[g] = use
		}
	}
	v.mu.Lock()
	v.strands = l
	v.mu.Unlock()
	return l, nil
}

// useOf reads the worst index of fibre failure of all cases at each point of
// each strand of a layer: that of the nearest integration point under a bead.
func (v *Views) useOf(ctx context.Context, layer int) ([][]float64, error) {
	x, err := v.examine(ctx, 0)
	if err != nil {
		return nil, err
	}
	y := &v.lay.Print.Layers[layer]
	plies, err := pliesOf(x, y.Composite)
	if err != nil {
		return nil, err
	}
	values := indexValues(x, plies, -1, "fibre")
	near := coveredGrid(x.System.Points(), values)
	out := make([][]float64, len(y.Strands))
	for i := range y.Strands {
		for _, p := range y.Strands[i].Points {
			out[i] = append(out[i], near(p))
		}
	}
	return out, nil
}

// coveredGrid returns the value of the nearest point that has one; NaN where
// none has.
func coveredGrid(points []geom.Point, values []float64) func(geom.Point) float64 {
	var at []geom.Point
	var of []float64
	for i, p := range points {
		if !math.IsNaN(values[i]) {
			at, of = append(at, p), append(of, values[i])
		}
	}
	grid := geom.NewGrid(at)
	return func(p geom.Point) float64 {
		if i, _ := grid.Nearest(p); i >= 0 {
			return of[i]
		}
		return math.NaN()
	}
}

// lineArrays collects strands.
type lineArrays struct {
	points, width, radius, share, use []float32
	start, group                      []uint32
	closed, ends                      []uint8
	length, least, turning, worst     []float32
}

// Strands returns the strands of every distinct layer, or of one printed
// layer (all: -1).
func (v *Views) Strands(ctx context.Context, layer int) (*Arrays, error) {
	l, err := v.lines(ctx)
	if err != nil {
		return nil, err
	}
	wanted := l.groups
	if layer >= 0 {
		if layer >= len(l.of) {
			return nil, noView("there is no layer %d", layer)
		}
		wanted = nil
		if g := l.of[layer]; g >= 0 {
			wanted = [][]int{{layer}}
		}
	}
	var out lineArrays
	places := []GroupPlace{}
	for n, layers := range wanted {
		g := l.of[layers[0]]
		y := &v.lay.Print.Layers[layers[0]]
		use := l.useFor(v, y, g)
		for i := range y.Strands {
			var of []float64
			if use != nil {
				of = use[i]
			}
			out.add(v, y, i, n, of)
		}
		places = append(places, GroupPlace{v.familyOf(layers[0]), layers})
	}
	return out.arrays(places), nil
}

// useFor returns the use of a layer's strands: that of its group where the
// layer is its first, else read along the same lines by place.
func (l *strandLines) useFor(v *Views, y *strand.Layer, g int) [][]float64 {
	if l.use == nil {
		return nil
	}
	first := &v.lay.Print.Layers[l.groups[g][0]]
	if first == y {
		return l.use[g]
	}
	var at []geom.Point
	var values []float64
	for i := range first.Strands {
		at = append(at, first.Strands[i].Points...)
		values = append(values, l.use[g][i]...)
	}
	near := coveredGrid(at, values)
	out := make([][]float64, len(y.Strands))
	for i := range y.Strands {
		for _, p := range y.Strands[i].Points {
			out[i] = append(out[i], near(p))
		}
	}
	return out
}

func (a *lineArrays) add(v *Views, y *strand.Layer, i, group int, use []float64) {
	s := &y.Strands[i]
	a.start = append(a.start, uint32(len(a.points)/2))
	radii := s.Radii()
	least, worst := math.Inf(1), math.NaN()
	for k, p := range s.Points {
		a.points = addPoint(a.points, p)
		a.width = append(a.width, float32(s.Width[k]))
		a.radius = append(a.radius, float32(math.Min(radii[k], maxRadius)))
		a.share = append(a.share, float32(v.towShare(y, s.Width[k])))
		least = math.Min(least, radii[k])
		u := math.NaN()
		if use != nil {
			u = use[k]
		}
		a.use = append(a.use, float32(u))
		if !(worst >= u) && u == u {
			worst = u
		}
	}
	a.group = append(a.group, uint32(group))
	a.closed = append(a.closed, bit(s.Closed))
	a.ends = append(a.ends, uint8(s.Start), uint8(s.End))
	a.length = append(a.length, float32(s.Length()))
	a.turning = append(a.turning, float32(s.Turning()))
	a.least = append(a.least, float32(math.Min(least, maxRadius)))
	a.worst = append(a.worst, float32(worst))
}

// towShare is the share of the tow in a bead of a width.
func (v *Views) towShare(y *strand.Layer, width float64) float64 {
	return v.job.in.law.TowArea() / (math.Max(width, v.lay.Print.SpacingMin) * y.Height)
}

func bit(b bool) uint8 {
	if b {
		return 1
	}
	return 0
}

func (a *lineArrays) arrays(groups []GroupPlace) *Arrays {
	var ends []string
	for _, e := range strand.Ends() {
		ends = append(ends, e.String())
	}
	out := &Arrays{Kind: "strands", Meta: map[string]any{
		"groups": groups, "units": map[string]string{"points": "mm", "width": "mm", "radius": "mm", "share": "1", "strand_turning": "rad", "use": "1 = fibre failure at the required load"},
		"ends": ends,
	}}
	out.floats("points", 2, a.points)
	out.indices("start", 1, append(a.start, uint32(len(a.points)/2)))
	out.floats("width", 1, a.width)
	out.floats("radius", 1, a.radius)
	out.floats("share", 1, a.share)
	out.floats("use", 1, a.use)
	out.indices("strand_group", 1, a.group)
	out.marks("strand_closed", 1, a.closed)
	out.marks("strand_end", 2, a.ends)
	out.floats("strand_length", 1, a.length)
	out.floats("strand_least_radius", 1, a.least)
	out.floats("strand_turning", 1, a.turning)
	out.floats("strand_use", 1, a.worst)
	return out
}

// Beads returns the plain plastic of a printed layer.
func (v *Views) Beads(layer int) (*Arrays, error) {
	y, err := v.layer(layer)
	if err != nil {
		return nil, err
	}
	var points, width []float32
	var kind, closed []uint8
	start := []uint32{}
	for i := range y.Beads {
		b := &y.Beads[i]
		start = append(start, uint32(len(points)/2))
		for _, p := range b.Points {
			points = addPoint(points, p)
		}
		kind, closed, width = append(kind, uint8(b.Kind)), append(closed, bit(b.Closed)), append(width, float32(b.Width))
	}
	var kinds []string
	for _, k := range strand.BeadKinds() {
		kinds = append(kinds, k.String())
	}
	a := &Arrays{Kind: "beads", Meta: map[string]any{"layer": layer, "kinds": kinds}}
	a.floats("points", 2, points)
	a.indices("start", 1, append(start, uint32(len(points)/2)))
	a.marks("bead_kind", 1, kind)
	a.marks("bead_closed", 1, closed)
	a.floats("bead_width", 1, width)
	return a, nil
}

func (v *Views) layer(i int) (*strand.Layer, error) {
	if v.lay == nil || i < 0 || i >= len(v.lay.Print.Layers) {
		return nil, noView("there is no layer %d", i)
	}
	return &v.lay.Print.Layers[i], nil
}

// Squares in which gaps and overlaps are shown.
const (
	coverageCell  = 0.12      // mm: as package check measures them
	coverageCells = 4_000_000 // most of them; larger parts get larger squares
)

// Coverage returns how many beads lie on each small square of a layer.
func (v *Views) Coverage(layer int) (*Arrays, error) {
	y, err := v.layer(layer)
	if err != nil {
		return nil, err
	}
	pr := v.lay.Print
	size := pr.Region.Bounds().Size()
	r := pr.Raster(y, math.Max(coverageCell, math.Sqrt(size.X*size.Y/coverageCells)))
	r.AddStrands(y.Strands, pr.Halves(y), pr.SpacingMin, true)
	r.AddBeads(y.Beads)
	cells := slices.Clone(r.Beads)
	for i := range cells {
		if !r.Inside[i] {
			cells[i] = outsideCell
		}
	}
	a := &Arrays{Kind: "coverage", Meta: map[string]any{
		"layer": layer, "origin": xy(r.Origin), "cell_mm": r.Cell, "nx": r.NX, "ny": r.NY, "gap_mm2": r.Area(r.Gap), "overlap_mm2": r.Area(r.Overlapped),
	}}
	a.marks("cells", 1, cells)
	return a, nil
}

// outsideCell marks squares outside the part.
const outsideCell = 255

// StrandView is one strand along its length under one case.
type StrandView struct {
	S      []float64 `json:"s_mm"`
	X      []float64 `json:"x_mm"`
	Y      []float64 `json:"y_mm"`
	Width  []float64 `json:"width_mm"`
	Radius []float64 `json:"radius_mm" doc:"1e6 stands for straight"`
	Share  []float64 `json:"tow_share"`
	Stress []float64 `json:"stress_MPa,omitempty" doc:"along the strand; left out before the proof"`
	Use    []float64 `json:"use,omitempty" doc:"index of fibre failure, worst of all cases; left out before the proof"`
}

// Strand returns one strand of a printed layer point by point.
func (v *Views) Strand(ctx context.Context, layer, strandIndex, c int) (*StrandView, error) {
	y, err := v.layer(layer)
	if err != nil {
		return nil, err
	}
	if strandIndex < 0 || strandIndex >= len(y.Strands) {
		return nil, noView("layer %d has no strand %d", layer, strandIndex)
	}
	if err := v.checkCase(c, 0); err != nil {
		return nil, err
	}
	s := &y.Strands[strandIndex]
	out := &StrandView{}
	radii, along := s.Radii(), 0.0
	for k, p := range s.Points {
		if k > 0 {
			along += p.Dist(s.Points[k-1])
		}
		out.S, out.X, out.Y = append(out.S, along), append(out.X, p.X), append(out.Y, p.Y)
		out.Width, out.Radius = append(out.Width, s.Width[k]), append(out.Radius, math.Min(radii[k], maxRadius))
		out.Share = append(out.Share, v.towShare(y, s.Width[k]))
	}
	return out, v.strandStress(ctx, out, y, s, c)
}

// strandStress adds stress and use where there is a proof.
func (v *Views) strandStress(ctx context.Context, out *StrandView, y *strand.Layer, s *strand.Strand, c int) error {
	if v.proof == nil || len(v.proof.Designs) == 0 {
		return nil
	}
	x, err := v.examine(ctx, 0)
	if err != nil {
		return err
	}
	plies, err := pliesOf(x, y.Composite)
	if err != nil {
		return err
	}
	stressNear := coveredGrid(x.System.Points(), v.layerValues(x, plies[0], layerFace{y.Index, plates.AtMiddle}, c, "fibre_stress"))
	useNear := coveredGrid(x.System.Points(), indexValues(x, plies, -1, "fibre"))
	for _, p := range s.Points {
		out.Stress = append(out.Stress, orZero(stressNear(p)))
		out.Use = append(out.Use, orZero(useNear(p)))
	}
	return nil
}

// orZero stands in for a number that is none: JSON has no NaN.
func orZero(v float64) float64 {
	if v != v {
		return 0
	}
	return v
}
