package job

import (
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"sinew/card"
	"sinew/cards"
	"sinew/geom"
	"sinew/printer"
	"sinew/solid"
)

// newPrinter is the printer of a new job.
const newPrinter = "twin-nozzle"

// isSolidFile reports whether a name is that of a solid, of a kind that is
// read or not: its reader gives the advice.
func isSolidFile(name string) bool {
	return slices.Contains([]string{".3mf", ".stl", ".step", ".stp", ".igs", ".iges"}, strings.ToLower(path.Ext(name)))
}

// solidRegion reads the plan of a solid and settles, in writing, what its file
// leaves open: the unit of an STL file, the direction that is up, the layers.
func (n *newJob) solidRegion(name string, data []byte) (geom.Region, error) {
	units := ""
	if strings.EqualFold(path.Ext(name), ".stl") {
		units = "mm"
	}
	surface, err := readSolidFile(name, data, units)
	if err != nil {
		return geom.Region{}, err
	}
	up := thinnest(surface.Bounds())
	body, err := standSolid(surface, up)
	if err != nil {
		return geom.Region{}, err
	}
	size := body.Bounds().Size()
	p, err := builtInPrinter(newPrinter)
	if err != nil {
		return geom.Region{}, err
	}
	n.planStack(size.Z, p)
	n.Part = fmt.Sprintf("solid = %q\nup = %q                       # direction of the file that is up in the print: x, y, z, -x, -y, -z", name, up)
	if units != "" {
		n.Part += "\nunits = \"mm\"                   # assumed: an STL file states none"
	}
	n.Part += fmt.Sprintf("\n# It is then %s × %s × %s mm; covers and composite layers must add up to its height.", plainNumber(size.X), plainNumber(size.Y), plainNumber(size.Z))
	stack := LayupTable{Covers: CoversTable{Bottom: n.Bottom, Top: n.Top}, Families: []FamilyTable{{Layers: n.Along + 2*n.Cross}}}
	slabs, _, err := cutSlabs(body, layerTops(&stack, p), 0)
	if err != nil {
		return geom.Region{}, err
	}
	n.Faces = wordFaces(solid.NameWalls(slabs))
	region, _, err := planOf(slabs)
	return region, err
}

// thinnest is the direction in which a part is thinnest: plates are printed
// lying. Of equals z, then y.
func thinnest(b solid.Box) string {
	s := b.Size()
	switch {
	case s.Z <= s.X && s.Z <= s.Y:
		return "z"
	case s.Y <= s.X:
		return "y"
	}
	return "x"
}

// builtInPrinter reads a printer's card that the program holds.
func builtInPrinter(id string) (*printer.Card, error) {
	data, err := cards.Files.ReadFile("printer/" + id + ".toml")
	if err != nil {
		panic("job: no built-in printer " + id)
	}
	c, err := card.Parse(data, id)
	if err != nil {
		return nil, cardFaults(err)
	}
	p, err := printer.FromCard(c)
	return p, cardFaults(err)
}

// Covers of a planned stack: as few as keep the fibre off the surface, as many
// as may make up for what composite layers miss.
const (
	fewestCovers = 2
	mostCovers   = 12
	usualCovers  = 4
)

// planStack chooses numbers of layers that meet the height best, of equals
// those with the most usual number of covers.
func (n *newJob) planStack(height float64, p *printer.Card) {
	best := math.Inf(1)
	for covers := fewestCovers; covers <= mostCovers; covers++ {
		composite := int(math.Round((height - float64(covers)*p.PlasticHeight) / p.CompositeHeight))
		if composite < 1 {
			continue
		}
		miss := math.Abs(float64(covers)*p.PlasticHeight + float64(composite)*p.CompositeHeight - height)
		// Misses below half the tolerance are alike; then the usual counts.
		score := math.Ceil(miss/(heightTolerance/2))*mostCovers + math.Abs(float64(covers-usualCovers))
		if score < best {
			best = score
			n.Top = covers / 2
			n.Bottom = covers - n.Top
			n.Cross = composite / 5
			n.Along = composite - 2*n.Cross
		}
	}
}

// mostFaces bounds the faces that a new job lists.
const mostFaces = 24

// wordFaces describes the upright faces that a side may be picked by.
func wordFaces(walls []solid.Wall) []string {
	var out []string
	for _, w := range walls[:min(len(walls), mostFaces)] {
		text := fmt.Sprintf("%s: (%s, %s) to (%s, %s)", w.Name, plainNumber(w.Edge.A.X), plainNumber(w.Edge.A.Y), plainNumber(w.Edge.B.X), plainNumber(w.Edge.B.Y))
		if w.Edge.IsArc() {
			c := w.Edge.Center()
			text = fmt.Sprintf("%s: radius %s around (%s, %s)", w.Name, plainNumber(w.Edge.Radius()), plainNumber(c.X), plainNumber(c.Y))
		}
		out = append(out, fmt.Sprintf("%s, z = %s to %s", text, plainNumber(w.Bottom), plainNumber(w.Top)))
	}
	if more := len(walls) - mostFaces; more > 0 {
		out = append(out, fmt.Sprintf("and %d more", more))
	}
	return out
}
