package job

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sinew/field"
	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/solid"
	"sinew/strand"
	"sinew/stress"
)

// Terrace is the lay-up of one outline of a part whose outline changes with
// height.
type Terrace struct {
	Island int // by index into the part's islands
	Layup  *field.Layup
}

// Limits of telling outlines apart.
const (
	// sameRim is how far, mm, edges of a terrace may lie off the plan's and still
	// be the same: both come from one solid, cut at different heights.
	sameRim = 0.1
	// sameArea is how far outlines may differ, as area over length, mm.
	sameArea = 0.02
)

// presence returns, per point, the part of the composite layers and that of the
// covers that is there; nil where all are everywhere.
func (j *Job) presence(points []geom.Point) (composite, covers []float64) {
	if len(j.in.part.Slabs) == 0 {
		return nil, nil
	}
	t := &j.file.Layup.Covers
	last := 0
	for _, s := range j.in.slabs {
		last = max(last, s.Last)
	}
	layers := last + 1 - t.Bottom - t.Top
	composite, covers = make([]float64, len(points)), make([]float64, len(points))
	for k, s := range j.in.slabs {
		along := min(s.Last, t.Bottom+layers-1) - max(s.First, t.Bottom) + 1
		across := s.Last - s.First + 1 - max(0, along)
		for i, p := range points {
			if !j.in.part.Slabs[k].Contains(p) {
				continue
			}
			composite[i] += float64(max(0, along)) / float64(max(1, layers))
			covers[i] += float64(across) / float64(max(1, t.Bottom+t.Top))
		}
	}
	return composite, covers
}

// terraces plans the outlines that differ from the part's plan each by itself:
// in their own area, around their own steps, for the strain that the whole part
// has there. The other layers lie under them as planned. They are refined once
// the whole part is: one that was stopped changes again.
func (j *Job) terraces(ctx context.Context, in field.Input, set field.Settings, out *laid, state resumed, next *resumed) error {
	if len(j.in.part.Slabs) == 0 {
		return nil
	}
	islands, err := j.islands()
	if err != nil {
		return err
	}
	if !next.ended() {
		set.Refine, set.Draw = field.Refine{}, nil
	}
	for i := range islands {
		is := &islands[i]
		counts := j.layersOf(out.Layup, is)
		if total(counts) == 0 || math.Abs(is.Region.Area()-j.in.part.Region.Area()) <= sameArea*is.Region.Length() {
			continue
		}
		b := is.Region.Bounds().Middle()
		where := fmt.Sprintf("layers %d to %d at (%.4g, %.4g)", is.First+1, is.Last+1, b.X, b.Y)
		set.Progress = func(what string, _ float64) { j.tell("fibre field: "+where+": "+what, terraceProgress) }
		set.Resume = state.Terraces[i]
		l, err := j.terrace(ctx, in, set, out.Layup, is, counts)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s take the strands of the whole part: %v", where, err))
			continue
		}
		for _, n := range l.Notes {
			out.Notes = append(out.Notes, where+": "+n)
		}
		if l.Stopped != nil {
			if next.Terraces == nil {
				next.Whole, next.Terraces = out.Layup, map[int]*field.Checkpoint{}
			}
			next.Terraces[i], l.Stopped = l.Stopped, nil
		}
		out.Terraces = append(out.Terraces, Terrace{i, l})
	}
	return nil
}

// terraceProgress is the share of the lay stage that is done when terraces are
// planned.
const terraceProgress = 0.6

func total(counts []int) int {
	n := 0
	for _, c := range counts {
		n += c
	}
	return n
}

// layersOf counts the composite layers of an island by family.
func (j *Job) layersOf(l *field.Layup, is *strand.Island) []int {
	counts := make([]int, len(l.Families))
	for k, y := range l.Layers {
		if at := k + j.file.Layup.Covers.Bottom; at >= is.First && at <= is.Last {
			counts[y.Family]++
		}
	}
	return counts
}

func (j *Job) terrace(ctx context.Context, in field.Input, set field.Settings, whole *field.Layup, is *strand.Island, counts []int) (*field.Layup, error) {
	points := in.System.Points()
	inside := make([]float64, len(points))
	for i, p := range points {
		if is.Region.Contains(p) {
			inside[i] = 1
		}
	}
	in.Stack.Under = j.under(in.Stack, points, whole, counts, inside)
	in.Stack.Share, in.Stack.Covers = inside, 0
	in.Part, in.Region = terracePart(j.in.part, is.Region), is.Composite
	m := j.meshSettings()
	m.Cancel = func() bool { return ctx.Err() != nil }
	var err error
	if in.Mesh, err = mesh.Generate(is.Composite, m); err != nil {
		return nil, err
	}
	set.Families = slices.Clone(set.Families)
	for k := range set.Families {
		set.Families[k].Layers = counts[k]
		if counts[k] == 0 && set.Families[k].Kind != field.Drawn {
			set.Families[k].Kind, set.Families[k].Around = field.Straight, nil // nothing of it is laid here
		}
	}
	set.Order = nil
	if set.Draw != nil {
		set.Draw = j.drawer(in.System, in.Part)
	}
	return field.Plan(ctx, in, set)
}

// under is the sheet of all layers but a terrace's own, as they are planned for
// the whole part.
func (j *Job) under(stack field.Stack, points []geom.Point, whole *field.Layup, own []int, inside []float64) *stress.Sheet {
	sum := (&field.Layup{}).Sheet(stack, points) // the covers
	stack.Covers, stack.CoverShare = 0, nil
	bottom := j.file.Layup.Covers.Bottom
	for f := range whole.Families {
		n := 0
		share := make([]float64, len(points))
		for k, y := range whole.Layers {
			if y.Family != f {
				continue
			}
			n++
			at := slices.IndexFunc(j.in.slabs, func(s solid.Slab) bool { return s.First <= k+bottom && k+bottom <= s.Last })
			for i, p := range points {
				if at >= 0 && j.in.part.Slabs[at].Contains(p) {
					share[i]++
				}
			}
		}
		if n == 0 {
			continue
		}
		for i := range share {
			share[i] = math.Max(0, share[i]-inside[i]*float64(own[f])) / float64(n)
		}
		stack.Share = share
		one := field.Layup{Region: whole.Region, Families: whole.Families[f : f+1], Layers: make([]field.Layer, n)}
		s := one.Sheet(stack, points)
		for i := range sum.A {
			sum.A[i] = sum.A[i].Add(s.A[i], 1)
			sum.Mass[i] += s.Mass[i]
		}
	}
	return &sum
}

// terracePart is the part with a terrace's outline: its features are those of
// the part's that lie on it, its supports and loads those that act there.
func terracePart(whole *part.Part, r geom.Region) *part.Part {
	p := *whole
	p.Region, p.Slabs = r, nil
	p.Features = slices.Clone(whole.Features)
	there := make([]bool, len(p.Features))
	for i := range p.Features {
		there[i] = moveFeature(&p.Features[i], whole.Region, r)
	}
	p.Supports = slices.DeleteFunc(slices.Clone(whole.Supports), func(s part.Support) bool { return !there[s.Feature] })
	p.Cases = slices.Clone(whole.Cases)
	for c := range p.Cases {
		p.Cases[c].Loads = slices.DeleteFunc(slices.Clone(p.Cases[c].Loads), func(l part.Load) bool { return !there[l.Feature] })
	}
	return &p
}

// moveFeature finds a feature of one region on another and reports whether any
// of it is there; else it stays without edges, on the outline.
func moveFeature(f *part.Feature, from, to geom.Region) bool {
	near := geom.NewBoundary(from)
	old := *f
	f.Loop, f.Edges = 0, nil
	for l, loop := range to.Loops() {
		var edges []int
		for e := range loop {
			n := near.Nearest(loop[e].At(0.5))
			if n.Distance <= sameRim && n.Loop == old.Loop && (old.Kind == part.Hole || slices.Contains(old.Edges, n.Edge)) {
				edges = append(edges, e)
			}
		}
		if len(edges) == 0 || old.Kind == part.Hole && (l == 0 || len(edges) < len(loop)) {
			continue
		}
		f.Loop, f.Edges = l, edges
		return true
	}
	return false
}
