package job

import (
	"bytes"
	_ "embed"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/template"

	"sinew/drawing"
	"sinew/geom"
	"sinew/internal/atomicfile"
	"sinew/part"
)

//go:embed template.toml
var newJobText string

//go:embed sample.dxf
var sampleDrawing []byte

// sampleName is the drawing of a job that starts from nothing.
const sampleName = "plate.dxf"

// newHole is a hole of the drawing as the template words it.
type newHole struct{ Name, X, Y, Diameter string }

// newJob fills the template.
type newJob struct {
	Name, Held, Loaded, How   string
	Part                      string // lines of the part's table
	Bottom, Top, Along, Cross int    // layers
	Holes                     []newHole
	Ends                      []string // sides that are held or loaded
	Faces                     []string // upright faces of a solid
}

// drawnPart is the part's table of a new job with a drawing.
const drawnPart = `drawing = "%s"
# units = "mm"                 # only where the drawing states none
# layers = ["OUTLINE"]         # drawing layers to read; all when left out
thickness = "4 mm"           # covers and composite layers must add up to it`

// New makes a folder with a commented job file and its drawing or solid; without
// either it takes a sample plate with two holes. It returns the files it
// made, and refuses to touch a job that is there.
func New(dir, drawingName string, data []byte) ([]string, error) {
	target := filepath.Join(dir, FileName)
	if _, err := os.Stat(target); err == nil {
		return nil, &InputError{[]Fault{{File: target, What: "is there already", Remedy: "choose another folder"}}}
	}
	if data == nil {
		drawingName, data = sampleName, sampleDrawing
	}
	text, err := newJobFile(filepath.Base(filepath.Clean(dir)), drawingName, data)
	if err != nil {
		return nil, err
	}
	b := atomicfile.NewBatch()
	defer b.Discard()
	if err := b.Add(target, text); err != nil {
		return nil, err
	}
	if err := b.Add(filepath.Join(dir, drawingName), data); err != nil {
		return nil, err
	}
	return []string{target, filepath.Join(dir, drawingName)}, b.Commit()
}

// newJobFile words a job for the part that the drawing shows.
func newJobFile(name, drawingName string, data []byte) ([]byte, error) {
	n := newJob{Name: name, Part: fmt.Sprintf(drawnPart, drawingName), Bottom: 2, Top: 2, Along: 6, Cross: 2}
	read := drawnRegion
	if isSolidFile(drawingName) {
		read = n.solidRegion
	}
	region, err := read(drawingName, data)
	if err != nil {
		return nil, asInput(drawingName, "", err)
	}
	for i, h := range region.Holes {
		n.Holes = append(n.Holes, wordHole(i, h))
	}
	n.Held, n.Loaded, n.How = newJobPlaces(n.Holes)
	for _, name := range []string{n.Held, n.Loaded} {
		if end, ok := strings.CutSuffix(name, " end"); ok {
			n.Ends = append(n.Ends, end)
		}
	}
	var b bytes.Buffer
	if err := template.Must(template.New("job").Parse(newJobText)).Execute(&b, n); err != nil {
		panic("job: template of a new job: " + err.Error())
	}
	return b.Bytes(), nil
}

// drawnRegion reads the one outline of a drawing.
func drawnRegion(drawingName string, data []byte) (geom.Region, error) {
	d, err := readDrawing(drawingName, data, "")
	if err != nil {
		return geom.Region{}, err
	}
	regions, err := d.Regions(drawing.JoinSettings{Tolerance: defaultJoin})
	if err != nil {
		return geom.Region{}, err
	}
	return onlyRegion(regions)
}

// newJobPlaces chooses what the new job holds and loads: a place to start
// from, for the user to change.
func newJobPlaces(holes []newHole) (held, loaded, how string) {
	switch len(holes) {
	case 0:
		return "left end", "right end", "even"
	case 1:
		return "left end", holes[0].Name, "bearing"
	}
	return holes[0].Name, holes[len(holes)-1].Name, "bearing"
}

func wordHole(i int, l geom.Loop) newHole {
	box := l.Bounds()
	center := box.Min.Lerp(box.Max, 0.5)
	h := newHole{Name: fmt.Sprintf("hole %d", i+1), X: plainNumber(center.X), Y: plainNumber(center.Y)}
	if _, d, round := part.RoundHole(l); round {
		h.Diameter = plainNumber(d)
	}
	return h
}

// plainNumber writes mm with up to three decimals.
func plainNumber(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}
