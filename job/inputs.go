package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sinew/card"
	"sinew/cards"
	"sinew/drawing"
	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/printer"
	"sinew/solid"
	"sinew/strand"
)

// Limits on what is read: they bound memory, not use.
const (
	maxDrawingBytes = 64 << 20
	maxCardBytes    = 1 << 20
)

// defaultJoin is the distance within which loose ends of a drawing are
// joined, mm: above the rounding of drawing files, below any real gap.
const defaultJoin = 0.01

// inputs is everything that a job's stages start from.
type inputs struct {
	hash       key
	records    []InputRecord
	part       *part.Part
	body       *solid.Solid // of a part from a solid
	slabs      []solid.Slab
	notes      []string
	drawn      key         // of the drawing
	fill       strand.Fill // of plain plastic layers
	partKey    key         // of drawing and everything that shapes part.Part
	law        *material.Law
	plastic    material.Plastic
	shortFibre *material.Plastic
	metals     []material.Metal
	state      material.State
	knockdowns []material.KnockDown
	printer    *printer.Card
	paths      [][]geom.Path  // of each family, where it is drawn
	cardKeys   map[string]key // by role
}

// load reads drawing and cards and builds part and materials.
func (j *Job) load(jobText []byte) (*inputs, error) {
	in := &inputs{cardKeys: map[string]key{}}
	in.note("job", FileName, "", jobText)
	if err := j.loadPart(in); err != nil {
		return nil, err
	}
	if err := j.loadCards(in); err != nil {
		return nil, err
	}
	if err := j.checkStack(in); err != nil {
		return nil, err
	}
	if err := j.validated(in.part); err != nil { // again, now with its slabs
		return nil, err
	}
	if err := j.checkFamilies(in); err != nil {
		return nil, err
	}
	if err := j.loadFill(in); err != nil {
		return nil, err
	}
	if err := j.loadPaths(in); err != nil {
		return nil, err
	}
	var sums []any
	for _, r := range in.records {
		sums = append(sums, r)
	}
	in.hash = keyOf("input", sums...)
	return in, nil
}

// note records an input with its hash.
func (in *inputs) note(kind, name, title string, data []byte) key {
	sum := sha256.Sum256(data)
	in.records = append(in.records, InputRecord{Name: name, Kind: kind, Title: title, SHA256: hex.EncodeToString(sum[:])})
	return key(sum)
}

// loadPart reads drawing or solid and builds the part on it.
func (j *Job) loadPart(in *inputs) error {
	region, notes, err := j.readOutline(in)
	if err != nil {
		return err
	}
	in.notes = notes
	if in.part, err = j.buildPart(region); err != nil {
		return err
	}
	in.part.Slabs = slabsOf(in.slabs)
	in.partKey = keyOf("part", in.drawn, j.file.Part, j.file.Features, j.file.Supports, j.file.Cases, j.file.Probes)
	return nil
}

// readOutline reads drawing or solid and returns the one region that it shows.
func (j *Job) readOutline(in *inputs) (geom.Region, []string, error) {
	t := j.file.Part
	if t.Solid != "" {
		return j.readSolid(in)
	}
	name := filepath.Clean(filepath.FromSlash(t.Drawing))
	if !filepath.IsLocal(name) {
		j.faults.add("part.drawing", fmt.Sprintf("%q lies outside the job's folder", t.Drawing), "copy the drawing into the folder")
		return geom.Region{}, nil, j.faults.err()
	}
	data, err := j.readBeside(name, t.Drawing, maxDrawingBytes)
	if err != nil {
		return geom.Region{}, nil, err
	}
	in.drawn = in.note("drawing", t.Drawing, "", data)
	region, notes, err := readRegion(t, data)
	return region, notes, asInput(t.Drawing, "", err)
}

// readBeside reads a drawing or solid in the job's folder.
func (j *Job) readBeside(name, shown string, limit int64) ([]byte, error) {
	path := filepath.Join(j.dir, name)
	if err := j.confine(path); err != nil {
		return nil, err
	}
	return readInput(path, shown, limit)
}

func factorOf(c CaseTable) float64 {
	if c.Factor == nil {
		return 1
	}
	return *c.Factor
}

// readDrawing reads a DXF or SVG file by its extension.
func readDrawing(name string, data []byte, units string) (*drawing.Drawing, error) {
	s := drawing.Settings{Units: units}
	switch ext := strings.ToLower(path.Ext(name)); ext {
	case ".dxf":
		return drawing.ReadDXF(bytes.NewReader(data), s)
	case ".svg":
		return drawing.ReadSVG(bytes.NewReader(data), s)
	default:
		return nil, fmt.Errorf("is neither .dxf nor .svg; export the drawing as one of them")
	}
}

// readRegion reads the one region that the drawing shows.
func readRegion(t PartTable, data []byte) (geom.Region, []string, error) {
	d, err := readDrawing(t.Drawing, data, t.Units)
	if err != nil {
		return geom.Region{}, nil, err
	}
	join := float64(t.Join)
	if join == 0 {
		join = defaultJoin
	}
	regions, err := d.Regions(drawing.JoinSettings{Tolerance: join, Layers: t.Layers})
	if err != nil {
		return geom.Region{}, nil, err
	}
	region, err := onlyRegion(regions)
	return region, d.Notes, err
}

// onlyRegion insists on one outline.
func onlyRegion(regions []geom.Region) (geom.Region, error) {
	if len(regions) == 1 {
		return regions[0], nil
	}
	list := make([]string, len(regions))
	for i, r := range regions {
		b := r.Bounds()
		list[i] = fmt.Sprintf("%.1f × %.1f mm at (%.1f, %.1f)", b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Min.X, b.Min.Y)
	}
	return geom.Region{}, fmt.Errorf("shows %d separate outlines (%s), or holes that touch or cross the edge; choose drawing layers with part.layers so that one outline is left, and move holes off the edge", len(regions), strings.Join(list, "; "))
}

// cardFile finds a card: in the job's folder cards, the user's folder, the
// built-in ones, in this order.
func (j *Job) cardFile(kind, id string) (data []byte, shown string, err error) {
	if id != path.Base(id) || id == "." || id == "" {
		return nil, "", fs.ErrNotExist
	}
	name := id + ".toml"
	for _, dir := range []string{filepath.Join(j.dir, "cards"), j.opt.Cards} {
		if dir == "" {
			continue
		}
		for _, p := range []string{filepath.Join(dir, kind, name), filepath.Join(dir, name)} {
			if _, err := os.Stat(p); err == nil {
				if err := j.confineCard(p); err != nil {
					return nil, name, err
				}
				data, err := readInput(p, p, maxCardBytes)
				return data, name, err
			}
		}
	}
	data, err = cards.Files.ReadFile(kind + "/" + name)
	return data, name, err
}

// readCard reads the card that a key of the job file names.
func (j *Job) readCard(in *inputs, kind, id, jobKey string) (*card.Card, error) {
	data, shown, err := j.cardFile(kind, id)
	if errors.Is(err, fs.ErrNotExist) {
		j.faults.add(jobKey, fmt.Sprintf("there is no %s card %q", kind, id), "name one of "+strings.Join(j.cardIDs(kind), ", "))
		return nil, j.faults.err()
	}
	if err != nil {
		return nil, err
	}
	c, err := card.Parse(data, shown)
	if err != nil {
		return nil, cardFaults(err)
	}
	if c.Kind != kind {
		return nil, &InputError{[]Fault{{File: shown, Key: "kind", What: fmt.Sprintf("is %q where a %s card is wanted", c.Kind, kind), Remedy: "name another card in " + jobKey}}}
	}
	in.cardKeys[jobKey] = in.note("card", kind+"/"+id, c.Title+", "+entryOf(c).versionText(), data)
	return c, nil
}

// cardIDs lists the cards of a kind that the job can name.
func (j *Job) cardIDs(kind string) []string {
	var ids []string
	add := func(names []fs.DirEntry) {
		for _, e := range names {
			if id, ok := strings.CutSuffix(e.Name(), ".toml"); ok && !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
	}
	for _, dir := range []string{filepath.Join(j.dir, "cards"), j.opt.Cards} {
		if dir != "" {
			names, _ := os.ReadDir(filepath.Join(dir, kind)) // a missing folder holds no cards
			add(names)
		}
	}
	names, _ := cards.Files.ReadDir(kind)
	add(names)
	slices.Sort(ids)
	return ids
}
