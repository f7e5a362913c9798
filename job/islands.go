package job

import (
	"context"
	"fmt"

	"sinew/field"
	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/solid"
	"sinew/strand"
)

// mostOutlines is how many outlines above one another are cut and planned at
// all; check calls a part no plate well before.
const mostOutlines = 24

// slabsOf puts the slabs of a solid on the part; one alone needs none.
func slabsOf(slabs []solid.Slab) []part.Slab {
	if len(slabs) < 2 {
		return nil
	}
	out := make([]part.Slab, len(slabs))
	for i, s := range slabs {
		out[i] = part.Slab{Bottom: s.Bottom, Top: s.Top, Regions: s.Regions}
	}
	return out
}

// islands lists the outlines of the part with their layers and what strands
// may fill of each.
func (j *Job) islands() ([]strand.Island, error) {
	inset := j.wallInset()
	var out []strand.Island
	for i, s := range j.in.slabs {
		for _, r := range s.Regions {
			is := strand.Island{First: s.First, Last: s.Last, Region: r, Composite: r}
			if inset > 0 {
				inner, err := r.Inset(inset)
				if err != nil || len(inner) != 1 {
					at := r.Bounds().Middle()
					j.faults.add("layup.walls", fmt.Sprintf("%d walls leave %d separate areas for composite in outline %d, %.4g to %.4g mm, at (%.4g, %.4g)", j.walls(), len(inner), i+1, s.Bottom, s.Top, at.X, at.Y), "take fewer walls, or widen the part there")
					continue
				}
				is.Composite = inner[0]
			}
			out = append(out, is)
		}
	}
	return out, j.faults.err()
}

// wallInset is how far strands keep from the outline, mm.
func (j *Job) wallInset() float64 {
	if j.walls() == 0 {
		return 0
	}
	return float64(j.walls())*j.in.printer.WallWidth + j.in.printer.BeadToWall
}

// layStrands turns a lay-up into a print: island by island, with lay-ups of their
// own where they have them, where the outline changes with height.
func (j *Job) layStrands(ctx context.Context, l *field.Layup, own []Terrace, s strand.Settings) (*strand.Print, error) {
	if len(j.in.part.Slabs) == 0 {
		return strand.Lay(ctx, l, j.in.printer, s)
	}
	islands, err := j.islands()
	if err != nil {
		return nil, err
	}
	for _, t := range own {
		islands[t.Island].Layup = t.Layup
	}
	return strand.LayIslands(ctx, l, j.in.printer, s, islands)
}

// stepSize is the largest element side where the outline changes with height,
// mm: the step runs through elements, whose points lie on one side or the
// other.
const stepSize = 1.0

// nearSteps bounds the element side near edges of slabs that lie inside the
// plan.
func nearSteps(p *part.Part, set mesh.Settings) func(geom.Point) float64 {
	type outline struct {
		boundary *geom.Boundary
		rim      func(loop, edge int) bool // edges on the plan's own outline
	}
	var list []outline
	for i := range p.Slabs {
		for _, r := range p.Slabs[i].Regions {
			rim := map[geom.EdgeRef]bool{}
			for l, loop := range r.Loops() {
				for e, edge := range loop {
					beside := edge.At(0.5).Sub(edge.Tangent(0.5).Left().Scale(besideStep))
					rim[geom.EdgeRef{Loop: l, Edge: e}] = !p.Region.Contains(beside)
				}
			}
			list = append(list, outline{geom.NewBoundary(r), func(l, e int) bool { return rim[geom.EdgeRef{Loop: l, Edge: e}] }})
		}
	}
	return func(at geom.Point) float64 {
		size := set.Size
		if set.SizeAt != nil {
			size = set.SizeAt(at)
		}
		for _, o := range list {
			reach := (set.Size - stepSize) / holeGrowth
			if n := o.boundary.NearestExcept(at, max(reach, 0), o.rim); n.Distance < reach {
				size = min(size, stepSize+holeGrowth*n.Distance)
			}
		}
		return size
	}
}

// besideStep, mm, is how far beside an edge it is asked whether the plan goes
// on there.
const besideStep = 0.01

// outlineName tells layers of a part with steps apart by their outline.
func (j *Job) outlineName(layer int) string {
	for i, s := range j.in.slabs {
		if len(j.in.slabs) > 1 && s.First <= layer && layer <= s.Last {
			return fmt.Sprintf(", outline %d", i+1)
		}
	}
	return ""
}
