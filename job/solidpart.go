package job

import (
	"fmt"
	"math"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sinew/drawing"
	"sinew/geom"
	"sinew/printer"
	"sinew/solid"
)

// maxSolidBytes bounds a solid's file.
const maxSolidBytes = 512 << 20

// upward lists the ways in which a solid can stand: which direction of the file
// points up in the print. x, y and z of the print are these directions of the
// file; a half or quarter turn each, never a mirror.
var upward = []struct {
	name string
	rows [3]solid.Point
}{
	{"z", [3]solid.Point{{X: 1}, {Y: 1}, {Z: 1}}},
	{"-z", [3]solid.Point{{X: 1}, {Y: -1}, {Z: -1}}},
	{"y", [3]solid.Point{{X: 1}, {Z: -1}, {Y: 1}}},
	{"-y", [3]solid.Point{{X: 1}, {Z: 1}, {Y: -1}}},
	{"x", [3]solid.Point{{Z: -1}, {Y: 1}, {X: 1}}},
	{"-x", [3]solid.Point{{Z: 1}, {Y: 1}, {X: -1}}},
}

func upNames() []string {
	var names []string
	for _, u := range upward {
		names = append(names, u.name)
	}
	return names
}

// checkSource notes what does not fit where the part comes from.
func (p *PartTable) checkSource(l *faultList) {
	switch {
	case p.Drawing == "" && p.Solid == "":
		l.add("part", "names neither drawing nor solid", "give drawing = \"part.dxf\" with a thickness, or solid = \"part.3mf\"")
	case p.Drawing != "" && p.Solid != "":
		l.add("part.solid", "does not go with a drawing", "keep the one that holds the part")
	case p.Drawing != "":
		if p.Up != "" {
			l.add("part.up", "does not go with a drawing", "delete it")
		}
	case p.Up == "":
		l.add("part.up", "is missing", "say which direction of the file points up in the print: "+strings.Join(upNames(), ", "))
	default:
		l.oneOf("part.up", p.Up, upNames()...)
	}
	if p.Solid != "" {
		for _, k := range []struct {
			name  string
			given bool
		}{{"layers", len(p.Layers) > 0}, {"join", p.Join != 0}} {
			if k.given {
				l.add("part."+k.name, "does not go with a solid", "delete it")
			}
		}
	}
	if p.Solid == "" || p.Thickness != 0 {
		l.within("part.thickness", float64(p.Thickness), 0.01, maxThickness, "a thickness above 0.01 mm and up to 1 m, such as \"4.8 mm\"")
	}
}

// checkFace notes a pick by what the part's file does not have: faces belong
// to solids, layers to drawings.
func (p *PartTable) checkFace(key string, s *SidePick, l *faultList) {
	switch {
	case s.Face != "" && p.Solid == "":
		l.add(key+".face", "does not go with a drawing", "pick with near, layer or end")
	case s.Layer != "" && p.Solid != "":
		l.add(key+".layer", "does not go with a solid", "pick with near, face or end")
	}
}

// readSolidFile reads a surface by its file's extension.
func readSolidFile(name string, data []byte, units string) (*drawing.Surface, error) {
	s := drawing.Settings{Units: units}
	switch ext := strings.ToLower(path.Ext(name)); ext {
	case ".3mf":
		return drawing.Read3MF(data, s)
	case ".stl":
		return drawing.ReadSTL(data, s)
	case ".step", ".stp", ".igs", ".iges":
		return nil, fmt.Errorf("is an exact surface model, which is not read; save the part as 3MF from the program that made it, or as DXF of its outline if it is a plate")
	default:
		return nil, fmt.Errorf("is neither .3mf nor .stl; export the solid as one of them")
	}
}

// standSolid turns the surface the way it is printed, its lowest point at
// z = 0, and mends it.
func standSolid(d *drawing.Surface, up string) (*solid.Solid, error) {
	mesh := &d.Mesh
	for _, u := range upward {
		if u.name == up {
			mesh = mesh.Map(u.rows, solid.Point{})
		}
	}
	low := mesh.Bounds().Min.Z
	for i := range mesh.Points {
		mesh.Points[i].Z -= low
	}
	return solid.Mend(mesh, solid.Settings{})
}

// readSolid reads the part's solid and cuts it into the layers of the stack.
func (j *Job) readSolid(in *inputs) (geom.Region, []string, error) {
	none := geom.Region{}
	t := &j.file.Part
	name := filepath.Clean(filepath.FromSlash(t.Solid))
	if !filepath.IsLocal(name) {
		j.faults.add("part.solid", fmt.Sprintf("%q lies outside the job's folder", t.Solid), "copy it into the folder")
		return none, nil, j.faults.err()
	}
	data, err := j.readBeside(name, t.Solid, maxSolidBytes)
	if err != nil {
		return none, nil, err
	}
	hash := in.note("solid", t.Solid, "", data)
	// The printer's layers cut the solid; the record lists cards later.
	card, err := readAs(j, &inputs{cardKeys: map[string]key{}}, "printer", j.file.Material.Printer, "material.printer", printer.FromCard)
	if err != nil {
		return none, nil, err
	}
	surface, err := readSolidFile(t.Solid, data, t.Units)
	if err != nil {
		return none, nil, asInput(t.Solid, "", err)
	}
	body, err := standSolid(surface, t.Up)
	if err != nil {
		return none, nil, asInput(t.Solid, "", err)
	}
	if err := j.settleThickness(body.Bounds().Max.Z); err != nil {
		return none, nil, err
	}
	tops := layerTops(&j.file.Layup, card)
	in.drawn = keyOf("solid", hash, tops)
	slabs, notes, err := cutSlabs(body, tops, j.opt.Workers)
	if err != nil {
		return none, nil, asInput(t.Solid, "", err)
	}
	solid.NameWalls(slabs)
	region, steps, err := planOf(slabs)
	in.body, in.slabs = body, slabs
	return region, slices.Concat(surface.Notes, repairNotes(body), notes, steps), asInput(t.Solid, "", err)
}

func repairNotes(body *solid.Solid) []string {
	var notes []string
	for _, r := range body.Repairs {
		notes = append(notes, r.String())
	}
	return notes
}

// heightTolerance is by how much a stated thickness may miss the solid's
// height, mm: as much as the stack may miss it.
const heightTolerance = 0.005

// settleThickness takes the thickness from the solid, or holds the stated one
// against it.
func (j *Job) settleThickness(height float64) error {
	t := &j.file.Part
	if t.Thickness != 0 && math.Abs(float64(t.Thickness)-height) > heightTolerance {
		j.faults.add("part.thickness", fmt.Sprintf("is %g mm, but the solid is %.4g mm high with %s up", float64(t.Thickness), height, t.Up), "delete it, or correct part.up or part.units")
		return j.faults.err()
	}
	if t.Thickness == 0 {
		t.Thickness = Length(height)
		if !(height >= 0.01 && height <= maxThickness) {
			j.faults.add("part.solid", fmt.Sprintf("is %.4g mm high with %s up", height, t.Up), "check part.units and part.up")
		}
	}
	return j.faults.err()
}

// layerTops lists the heights at which the printed layers end.
func layerTops(t *LayupTable, p *printer.Card) []float64 {
	composite := 0
	for _, f := range t.Families {
		composite += f.Layers
	}
	var tops []float64
	z := 0.0
	add := func(n int, height float64) {
		for range n {
			z += height
			tops = append(tops, z)
		}
	}
	add(t.Covers.Bottom, p.PlasticHeight)
	add(composite, p.CompositeHeight)
	add(t.Covers.Top, p.PlasticHeight)
	return tops
}

// cutSlabs cuts the solid halfway up each layer and joins layers with the same
// outline. A stack that misses the solid's height is stretched to it here: it
// is refused later, or judged as the nearest that another printer can do.
func cutSlabs(body *solid.Solid, tops []float64, workers int) ([]solid.Slab, []string, error) {
	if len(tops) == 0 {
		return nil, nil, fmt.Errorf("has no layer to be cut into; give families or covers layers")
	}
	middles := make([]float64, len(tops))
	low, stretch := 0.0, body.Bounds().Max.Z/tops[len(tops)-1]
	for i, top := range tops {
		middles[i] = stretch * (low + top) / 2
		low = top
	}
	sections, err := solid.Cut(body, middles, solid.CutSettings{Workers: workers})
	if err != nil {
		return nil, nil, err
	}
	slabs, err := solid.Slabs(sections, 0, tops)
	if err != nil {
		return nil, nil, err
	}
	return slabs, cutNotes(body, sections, slabs), nil
}

// cutNotes says what cutting changed and what layers cannot follow.
func cutNotes(body *solid.Solid, sections []solid.Section, slabs []solid.Slab) []string {
	var notes []string
	joined, arcs, sag := 0, 0, 0.0
	for i := range sections {
		if s := &sections[i]; s.Overlap > 0 {
			if joined == 0 {
				notes = append(notes, fmt.Sprintf("bodies overlap or the surface crosses itself at (%.4g, %.4g), z = %.4g mm, by %.3g mm²: joined", s.At.X, s.At.Y, s.Z, s.Overlap))
			}
			joined++
		}
	}
	if joined > 1 {
		notes[0] += fmt.Sprintf(", as in %d more layers", joined-1)
	}
	for i := range slabs {
		arcs += slabs[i].Recovered.Arcs
		sag = max(sag, slabs[i].Recovered.Sag)
	}
	if arcs > 0 {
		notes = append(notes, fmt.Sprintf("%d arcs were found again from chords that lie up to %.2g mm off them", arcs, sag))
	}
	if share := body.Inclined(); share > 0 {
		notes = append(notes, fmt.Sprintf("%.3g %% of the solid's surface is neither level nor upright: layers follow it in steps", 100*share))
	}
	return notes
}

// planOf returns the one region over which the slabs hold material, and what
// the slabs are where there are several.
func planOf(slabs []solid.Slab) (geom.Region, []string, error) {
	var list []string
	for i := range slabs {
		list = append(list, slabs[i].String())
	}
	if len(slabs) > mostOutlines {
		return geom.Region{}, nil, fmt.Errorf("its outline changes at %d heights (%s; …): sinew plans plates with steps, not bodies; divide the part, turn it with part.up, or simplify it", len(slabs)-1, strings.Join(list[:3], "; "))
	}
	region, err := onlyRegion(solid.Plan(slabs))
	if len(slabs) == 1 {
		return region, nil, err
	}
	return region, []string{"the outline changes with height: " + strings.Join(list, "; ")}, err
}

// recut cuts a part with steps for the layers of another printer.
func (j *Job) recut(in *inputs) error {
	if len(in.part.Slabs) == 0 {
		return nil
	}
	var err error
	if in.slabs, _, err = cutSlabs(in.body, layerTops(&j.file.Layup, in.printer), j.opt.Workers); err != nil {
		return asInput(j.file.Part.Solid, "", err)
	}
	in.part.Slabs = slabsOf(in.slabs)
	return nil
}

// checkStack notes a stack that misses the solid's height, before anything is
// computed, with the numbers of layers that meet it best.
func (j *Job) checkStack(in *inputs) error {
	if in.body == nil {
		return nil
	}
	tops := layerTops(&j.file.Layup, in.printer)
	height := in.body.Bounds().Max.Z
	if math.Abs(tops[len(tops)-1]-height) <= heightTolerance {
		return nil
	}
	best := &newJob{}
	best.planStack(height, in.printer)
	covers := j.file.Layup.Covers
	composite := len(tops) - covers.Bottom - covers.Top
	total := best.Along + 2*best.Cross
	j.faults.add("layup", fmt.Sprintf("the stack of %d composite layers of %.3g mm and %d covers of %.3g mm is %.4g mm high, the solid %.4g mm", composite, in.printer.CompositeHeight, covers.Bottom+covers.Top, in.printer.PlasticHeight, tops[len(tops)-1], height),
		fmt.Sprintf("nearest are %d composite layers and %d covers, %.4g mm", total, best.Bottom+best.Top, float64(total)*in.printer.CompositeHeight+float64(best.Bottom+best.Top)*in.printer.PlasticHeight))
	return j.faults.err()
}
