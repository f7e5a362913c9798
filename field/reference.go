package field

import (
	"math"

	"sinew/geom"
)

// reference fills the harmonic phase of a guess, and finds the narrowest sections
// between its tied boundaries.
func (f *fitter) reference(g *guess, asked float64, workers int) error {
	if err := f.solveReference(g, workers); err != nil {
		return err
	}
	g.necks = f.findNecks(g, asked)
	return nil
}

func (f *fitter) solveReference(g *guess, workers int) error {
	if len(g.groups) == 0 {
		g.ref = f.along()
		return nil
	}
	if g.offset {
		g.ref = f.distances(g)
		return nil
	}
	p, err := newProblem(f.space, f.space.tied(g.groups, g.fixed), workers, f.cancel)
	if err != nil {
		return err
	}
	p.assemble(func(int) tensor { return tensor{1, 0, 1} }, 0, nil)
	g.ref, err = p.solve()
	return err
}

// makeFree makes the problem of smoothing, with no node tied.
func (f *fitter) makeFree(workers int) (err error) {
	if f.free == nil {
		f.free, err = newProblem(f.space, f.space.freely(), workers, f.cancel)
	}
	return err
}

// makeFit makes the problem that all attempts from a guess solve.
func (f *fitter) makeFit(g *guess, workers int) (err error) {
	g.fit, err = newProblem(f.space, f.space.tied(g.groups, nil), workers, f.cancel)
	return err
}

// direct gives a guess its directions and where they hold.
func (f *fitter) direct(g *guess) {
	points := f.in.System.Points()
	g.pull, g.at, g.slope = f.edgePull(g, points), make([]geom.Point, len(points)), f.space.gradients(g.ref)
	for i := range points {
		g.at[i] = f.op.At(i, g.ref)
	}
}

// along is a phase whose strands run along the region's longer extent.
func (f *fitter) along() []float64 {
	box := geom.EmptyBox()
	for _, p := range f.space.m.Nodes {
		box = box.With(p)
	}
	ref := make([]float64, len(f.space.m.Nodes))
	for i, p := range f.space.m.Nodes {
		ref[i] = -p.Y
		if s := box.Size(); s.Y > s.X {
			ref[i] = p.X
		}
	}
	return ref
}

// edgePull returns exp(-(d/reach)²), d the distance from each point to the tied
// boundaries.
func (f *fitter) edgePull(g *guess, points []geom.Point) []float64 {
	out := make([]float64, len(points))
	edges := f.tiedEdges(g)
	if len(edges) == 0 {
		return out
	}
	near := geom.NewBoundary(geom.Region{Outer: edges})
	for i, p := range points {
		d := near.Nearest(p).Distance / edgeReach
		out[i] = math.Exp(-d * d)
	}
	return out
}

// tiedEdges lists the boundary's edges that a guess ties.
func (f *fitter) tiedEdges(g *guess) geom.Loop {
	var edges geom.Loop
	m := f.space.m
	for _, list := range g.edges {
		for _, e := range list {
			b := m.Boundary[e]
			edges = append(edges, geom.Edge{A: m.Nodes[b.A], B: m.Nodes[b.Mid]}, geom.Edge{A: m.Nodes[b.Mid], B: m.Nodes[b.B]})
		}
	}
	return edges
}

// distances is the nodes' distance from the tied edges.
func (f *fitter) distances(g *guess) []float64 {
	near := geom.NewBoundary(geom.Region{Outer: f.tiedEdges(g)})
	out := make([]float64, len(f.space.m.Nodes))
	for i, p := range f.space.m.Nodes {
		out[i] = near.Nearest(p).Distance
	}
	return out
}

// edgeReach is how far, in mm, the pull of a tied boundary reaches: about the
// width of a bead, because only the first strand has to follow the edge.
const edgeReach = 1.0
