package job

import (
	"context"
	"math"
	"slices"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	plates "sinew/plate"
	"sinew/stress"
)

// Stage is how far a run goes.
type Stage int

// The stages that a command ends with.
const (
	Lay   Stage = iota // fibre field and strands
	Check              // findings
	Prove              // margins as printed and of the designs compared
	Post               // machine program
)

// Names of the stages in progress messages and kept results.
const (
	stageMesh    = "mesh"
	stageLay     = "lay"
	stageProve   = "prove"
	stageProgram = "program"
)

// Defaults of the mesh.
const (
	defaultSize      = 2.0  // mm
	sizesAlong       = 20.0 // least number of elements along the part's larger extent
	defaultTolerance = 0.05
)

// meshed is the kept result of the mesh stage: the mesh, refined for a sheet
// of one even material, and that sheet's answer.
type meshed struct {
	Mesh      *mesh.Mesh
	Reference []Principal
	Record    MeshRecord
}

// Principal is the principal stress of one case in a sheet of one even
// material: where force flows when nothing steers it.
type Principal struct {
	Points []geom.Point // of the mesh's elements, their middle
	S1, S2 []float64    // MPa, S1 the algebraically greater
	Angle  []float64    // of S1, rad
	PerTri []float64    // the one larger by size, signed
}

// referenceModulus and referencePoisson are those of the even sheet. Without
// enforced displacements stress in one even material does not depend on the
// modulus, and hardly on Poisson's ratio.
const (
	referenceModulus = 70_000 // MPa
	referencePoisson = 0.3
)

// meshStage makes the mesh of the part.
func (j *Job) meshStage(ctx context.Context) (meshed, key, error) {
	k := j.meshKey()
	m, err := once(j, stageMesh, k, func() (meshed, error) { return j.makeMesh(ctx) })
	return m, k, err
}

// meshKey covers what shapes the mesh.
func (j *Job) meshKey() key {
	return keyOf(stageMesh, j.in.partKey, j.file.Mesh, j.file.Analysis.memory(), j.file.Analysis.Bending, j.file.Analysis.Foundation)
}

// makeMesh refines for a part of one even material: in its plane, or where a
// case bends it as a plate, which holds the plane as well.
func (j *Job) makeMesh(ctx context.Context) (meshed, error) {
	set := stress.RefineSettings{Mesh: j.meshSettings(), Error: j.tolerance(), Peak: float64(j.file.Mesh.Peak)}
	set.Mesh.Cancel = func() bool { return ctx.Err() != nil }
	sheet := stress.Isotropic(referenceModulus, referencePoisson, j.in.part.Thickness)
	flat := stress.Settings{Workers: j.opt.Workers, Memory: j.file.Analysis.memory()}
	bends := j.file.Analysis.Bending || slices.ContainsFunc(j.in.part.Cases, func(c part.Case) bool { return c.Bends() })
	if !bends {
		a, err := stress.Adapt(ctx, j.in.part, sheet, stress.AdaptSettings{RefineSettings: set, System: flat})
		if err != nil {
			return meshed{}, j.numbersOrInput(ctx, err)
		}
		return j.meshed(&a.Refined, a.System, a.Solution, sheet), nil
	}
	bent := plates.AdaptSettings{RefineSettings: set, System: plates.Settings{Workers: j.opt.Workers, Memory: flat.Memory}}
	if f := j.file.Analysis.Foundation; f != nil {
		bent.System.Bedded, bent.Foundation = true, f.stiffness()
	}
	stack := plates.StackOfOne(material.Isotropic(referenceModulus, referencePoisson, 0, 0), j.in.part.Thickness)
	a, err := plates.Adapt(ctx, j.in.part, stack, bent)
	if err != nil {
		return meshed{}, j.numbersOrInput(ctx, err)
	}
	sys, err := stress.NewSystem(a.Mesh, j.in.part, flat)
	if err != nil {
		return meshed{}, j.numbersOrInput(ctx, err)
	}
	sol, err := sys.Solve(ctx, sheet)
	if err != nil {
		return meshed{}, j.numbersOrInput(ctx, err)
	}
	return j.meshed(&a.Refined, sys, sol, sheet), nil
}

// systemOn returns the equations of the part on its mesh: those of this run, or
// made again where the mesh was kept.
func (j *Job) systemOn(m *mesh.Mesh) (*stress.System, error) {
	if j.system != nil {
		return j.system, nil
	}
	return stress.NewSystem(m, j.in.part, stress.Settings{Workers: j.opt.Workers, Memory: j.file.Analysis.memory()})
}

// meshed keeps a refined mesh, its equations and the flow of force in it.
func (j *Job) meshed(r *stress.Refined, sys *stress.System, sol *stress.Solution, sheet stress.Sheet) meshed {
	j.system = sys
	out := meshed{Mesh: r.Mesh, Record: newMeshRecord(r, j.tolerance())}
	for i := range sol.Cases {
		out.Reference = append(out.Reference, j.principal(sys, &sol.Cases[i], sheet))
	}
	return out
}

func (j *Job) tolerance() float64 {
	if t := float64(j.file.Mesh.Tolerance); t > 0 {
		return t
	}
	return defaultTolerance
}

func (j *Job) meshSettings() mesh.Settings {
	box := j.in.part.Region.Outer.Bounds()
	extent := math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)
	s := mesh.Settings{Size: math.Min(defaultSize, extent/sizesAlong)}
	if t := float64(j.file.Mesh.Size); t > 0 {
		s.Size = t
	}
	if t := float64(j.file.Mesh.HoleSize); t > 0 {
		s.SizeAt = nearHoles(j.in.part.Region, t, s.Size)
	}
	if len(j.in.part.Slabs) > 0 {
		s.SizeAt = nearSteps(j.in.part, s)
	}
	return s
}

// holeGrowth is how fast the element side may grow away from a hole whose side
// the user fixed, mm per mm.
const holeGrowth = 0.25

// nearHoles bounds the element side near holes.
func nearHoles(r geom.Region, size, far float64) func(geom.Point) float64 {
	holes := geom.NewBoundary(geom.Region{Outer: r.Outer, Holes: r.Holes})
	return func(p geom.Point) float64 {
		n := holes.Nearest(p)
		if n.Loop == 0 {
			return far
		}
		return math.Min(far, size+holeGrowth*n.Distance)
	}
}

// principal turns a solution into what the figure of the report shows.
func (j *Job) principal(sys *stress.System, c *stress.CaseSolution, sheet stress.Sheet) Principal {
	m := sys.Mesh()
	n := len(m.Tris)
	p := Principal{Points: make([]geom.Point, n), S1: make([]float64, n), S2: make([]float64, n), Angle: make([]float64, n), PerTri: make([]float64, n)}
	force := sys.Resultants(c, sheet)
	for t := range n {
		var mean [3]float64
		for k := range stress.PointsPerTri {
			for i := range mean {
				mean[i] += force[stress.PointsPerTri*t+k][i] / stress.PointsPerTri / j.in.part.Thickness
			}
		}
		p.Points[t] = m.At(t, [3]float64{1. / 3, 1. / 3, 1. / 3})
		p.S1[t], p.S2[t], p.Angle[t] = stress.Principal(mean)
		p.PerTri[t] = p.S1[t]
		if math.Abs(p.S2[t]) > math.Abs(p.S1[t]) {
			p.PerTri[t] = p.S2[t]
		}
	}
	return p
}

// numbersOrInput gives an error of the computing rooms its class: a cancelled
// run stays one; whatever else they refuse, they refuse for what the job asks.
func (j *Job) numbersOrInput(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return asInput(FileName, "", err)
}

// featureName returns the name of a feature, "" for -1.
func featureName(p *part.Part, i int) string {
	if i < 0 {
		return ""
	}
	return p.Features[i].Name
}
