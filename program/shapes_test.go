package program

import (
	"bytes"
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/internal/stock"
	"sinew/printer"
	"sinew/strand"
)

// builtIn reads a built-in printer.
func builtIn(t testing.TB, id string) *printer.Card {
	t.Helper()
	return stock.Read(t, stock.Text("printer/"+id), printer.FromCard)
}

func settings() Settings {
	return Settings{
		TowArea: 0.103, PlasticTemperature: 260, BedTemperature: 80, PlasticDensity: 1.14e-3,
		TowLinearDensity: 1.5e-4, PlasticPerKilo: 45, TowPerMetre: 1.2, Name: "test", Hash: "0123abcd",
	}
}

// line is a straight strand in steps of half a millimetre, its width waving.
func line(a, b geom.Point, width float64) strand.Strand {
	n := int(math.Ceil(a.Dist(b) / 0.5))
	s := strand.Strand{}
	for i := range n + 1 {
		s.Points = append(s.Points, a.Lerp(b, float64(i)/float64(n)))
		s.Width = append(s.Width, width*(1+0.2*math.Sin(float64(i)/7)))
	}
	return s
}

// ring is a closed strand around m that overlaps its start by 5 mm.
func ring(m geom.Point, r, width float64) strand.Strand {
	n := int(math.Ceil(2 * math.Pi * r / 0.5))
	s := strand.Strand{Closed: true}
	for i := range n + 11 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		s.Points = append(s.Points, m.Add(geom.Point{X: r * cos, Y: r * sin}))
		s.Width = append(s.Width, width)
	}
	return s
}

// samplePrint is a plate with covers, walls, straight strands and rings.
func samplePrint(c *printer.Card, seed int64) *strand.Print {
	r := rand.New(rand.NewSource(seed))
	w, h := 90+40*r.Float64(), 30+30*r.Float64()
	width := c.SpacingMin * (1.1 + 0.3*r.Float64())
	pr := &strand.Print{Region: shapes.Plate(w, h), SpacingMin: c.SpacingMin, SpacingMax: c.SpacingMax}
	z := 0.0
	composite := 1 + r.Intn(4)
	for k := range composite + 2 {
		l := strand.Layer{Index: k, Kind: strand.Composite, Height: c.CompositeHeight, Composite: k - 1}
		if k == 0 || k == composite+1 {
			l.Kind, l.Height, l.Composite = strand.Plastic, c.PlasticHeight, -1
		}
		z += l.Height
		l.Z = z
		g := c.WallWidth / 2
		l.Beads = append(l.Beads, strand.Bead{Kind: strand.Wall, Closed: true, Width: c.WallWidth,
			Points: []geom.Point{{X: g, Y: g}, {X: w - g, Y: g}, {X: w - g, Y: h - g}, {X: g, Y: h - g}}})
		if l.Kind == strand.Plastic {
			b := strand.Bead{Kind: strand.Cover, Width: c.WallWidth}
			for y := 3 * g; y < h-3*g; y += 2 * c.WallWidth {
				b.Points = append(b.Points, geom.Point{X: 3 * g, Y: y}, geom.Point{X: w - 3*g, Y: y},
					geom.Point{X: w - 3*g, Y: y + c.WallWidth}, geom.Point{X: 3 * g, Y: y + c.WallWidth})
			}
			l.Beads = append(l.Beads, b)
		} else {
			l.Strands = strandsOf(r, w, h, width, k)
			l.Beads = append(l.Beads, strand.Bead{Kind: strand.Patch, Width: c.WallWidth, Points: []geom.Point{{X: 2, Y: 2}, {X: 8, Y: 2.5}}})
		}
		pr.Layers = append(pr.Layers, l)
	}
	return pr
}

func strandsOf(r *rand.Rand, w, h, width float64, k int) []strand.Strand {
	var out []strand.Strand
	if k%2 == 0 {
		for i := range 3 {
			out = append(out, ring(geom.Point{X: w / 2, Y: h / 2}, 12-float64(i)*width, width))
		}
		return out
	}
	for y := 2.0; y < h-2; y += width * 2 {
		a, b := geom.Point{X: 2, Y: y}, geom.Point{X: w - 2 - 10*r.Float64(), Y: y + r.Float64()}
		out = append(out, line(a, b, width))
	}
	return out
}

// written returns a program and its summary.
func written(t testing.TB, pr *strand.Print, c *printer.Card, s Settings) ([]byte, *Summary) {
	t.Helper()
	var b bytes.Buffer
	sum, err := Write(&b, pr, c, s)
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), sum
}

func middle(pr *strand.Print) geom.Point { return pr.Region.Bounds().Middle() }
