package coupon

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Panel is a printed plate from which coupons are sawn.
type Panel struct {
	Test          Test
	Width, Length float64 // of a coupon, mm
	Thickness     float64 // of the composite, mm
	X, Y          float64 // of the plate, mm
	Layers        int     // of composite
	Count         int     // of coupons
	Coupons       []geom.Box
	Spacing       float64
	Print         *strand.Print
	Notes         []string
}

// PanelSettings says what is printed.
type PanelSettings struct {
	Count     int     // of coupons; default 6, the handbook's batch of one machine run
	Spacing   float64 // of strands, mm; default the printer's least
	Thickness float64 // of the composite, mm; default the test's
}

const (
	defaultCoupons = 6
	kerf           = 3.0  // mm between coupons: saw and grinding
	trim           = 10.0 // mm left around them: edges of a plate are not like its middle
)

// NewPanel plans the plate for a test. Errors: a spacing that the printer does
// not lay, a plate that its bed does not hold.
func NewPanel(t Test, c *printer.Card, s PanelSettings) (*Panel, error) {
	p := &Panel{Test: t, Count: s.Count, Spacing: s.Spacing}
	if p.Count == 0 {
		p.Count = defaultCoupons
	}
	if p.Spacing == 0 {
		p.Spacing = c.SpacingMin
	}
	if p.Spacing < c.SpacingMin || p.Spacing > c.SpacingMax {
		return nil, fmt.Errorf("a spacing of %.3g mm is not what %s lays; give %.3g to %.3g mm", p.Spacing, c.ID, c.SpacingMin, c.SpacingMax)
	}
	want := s.Thickness
	if want == 0 {
		want = t.Thickness
	}
	p.Layers = max(1, int(math.Ceil(want/c.CompositeHeight-thicknessRounding)))
	if n := 2 * len(t.Angles); len(t.Angles) > 1 { // balanced and symmetric
		p.Layers = (p.Layers + n - 1) / n * n
	}
	p.Thickness = float64(p.Layers) * c.CompositeHeight
	p.Width, p.Length = t.Width, t.Length
	if t.Name == "short-beam" { // length 6h, width 2h, span 4h
		p.Width, p.Length = 2*p.Thickness, 6*p.Thickness
	}
	p.size(c)
	if p.X > c.Bed.X || p.Y > c.Bed.Y || c.Bed.Round && math.Hypot(p.X, p.Y) > c.Bed.X {
		return nil, fmt.Errorf("the plate for %d coupons is %.0f × %.0f mm, the bed of %s %.0f × %.0f mm; take fewer coupons, or a printer with a larger bed", p.Count, p.X, p.Y, c.ID, c.Bed.X, c.Bed.Y)
	}
	p.lay(c)
	return p, nil
}

// thicknessRounding, in layers, keeps a thickness of whole layers from getting
// one more.
const thicknessRounding = 1e-6

// size lays out the coupons, side by side along x, and the plate around them:
// no strand of it may be shorter than the cutter's distance, but for the
// corners of one under ±45°, which stay outside.
func (p *Panel) size(c *printer.Card) {
	ends, sides := trim, trim
	for _, a := range p.Test.Angles {
		if s := math.Abs(math.Sin(2 * a * math.Pi / 180)); s > 0.1 { // a corner's strand under 45° has legs of length·√½
			ends = math.Max(ends, c.CutterDistance*math.Sqrt2/2+trim/2)
		}
	}
	p.X = p.Length + 2*ends
	p.Y = float64(p.Count)*p.Width + float64(p.Count-1)*kerf + 2*sides
	least := c.CutterDistance + trim
	if p.Y < least {
		sides += (least - p.Y) / 2
		p.Y = least
	}
	if p.X < least {
		ends += (least - p.X) / 2
		p.X = least
	}
	for k := range p.Count {
		y := sides + float64(k)*(p.Width+kerf)
		p.Coupons = append(p.Coupons, geom.Box{Min: geom.Point{X: ends, Y: y}, Max: geom.Point{X: ends + p.Length, Y: y + p.Width}})
	}
}

func (p *Panel) lay(c *printer.Card) {
	pr := &strand.Print{Region: rectangle(0, 0, p.X, p.Y), SpacingMin: c.SpacingMin, SpacingMax: c.SpacingMax}
	pr.Composite = pr.Region
	z := 0.0
	add := func(l strand.Layer) {
		z += l.Height
		l.Index, l.Z = len(pr.Layers), z
		pr.Layers = append(pr.Layers, l)
	}
	cover := func() {
		if c.HasPlastic {
			add(strand.Layer{Kind: strand.Plastic, Height: c.PlasticHeight, Composite: -1, Family: -1, Beads: rows(0, 0, p.X, p.Y, c.WallWidth)})
			p.Notes = append(p.Notes, fmt.Sprintf("The printer wants a plain layer of %.3g mm %s the composite: measure the thickness without it, or grind it off.", c.PlasticHeight, map[bool]string{true: "under", false: "over"}[len(pr.Layers) == 1]))
		}
	}
	if c.CoverBelow {
		cover()
	}
	for k := range p.Layers {
		l := strand.Layer{Kind: strand.Composite, Height: c.CompositeHeight, Composite: k}
		l.Strands, l.Beads = p.strands(p.angle(k), float64(k%2)/2, c)
		add(l)
	}
	if c.CoverAbove {
		cover()
	}
	p.Print = pr
}

// angle of layer k, mirrored at the middle.
func (p *Panel) angle(k int) float64 {
	if n := p.Layers; k >= n/2 && len(p.Test.Angles) > 1 {
		k = n - 1 - k
	}
	return p.Test.Angles[k%len(p.Test.Angles)] * math.Pi / 180
}

// widestPatch, in widths of a plain bead, is twice the nozzle's bore.
const widestPatch = 4.0 / 3

// strands are straight lines over the plate, a spacing apart, laid to and fro;
// in corners, where they would be too short to be cut, they are plain plastic,
// so that the strands of other layers do not hang over air there.
func (p *Panel) strands(angle, shift float64, c *printer.Card) ([]strand.Strand, []strand.Bead) {
	sin, cos := math.Sincos(angle)
	dir, across := geom.Point{X: cos, Y: sin}, geom.Point{X: -sin, Y: cos}
	half := c.SpacingMin / 2
	area := geom.Polygons{{{X: half, Y: half}, {X: p.X - half, Y: half}, {X: p.X - half, Y: p.Y - half}, {X: half, Y: p.Y - half}}}
	mid, reach := geom.Point{X: p.X / 2, Y: p.Y / 2}, math.Hypot(p.X, p.Y)/2
	var out []strand.Strand
	var corners []strand.Bead
	n := int(reach / p.Spacing)
	for k := -n; k <= n; k++ {
		o := mid.Add(across.Scale((float64(k) + shift) * p.Spacing))
		for _, piece := range geom.ClipPath(geom.Path{Points: []geom.Point{o.Add(dir.Scale(-reach)), o.Add(dir.Scale(reach))}}, area) {
			a, b := piece.Points[0], piece.Points[len(piece.Points)-1]
			if a.Dist(b) < c.CutterDistance {
				if width := math.Min(p.Spacing, widestPatch*c.WallWidth); c.HasPlastic && a.Dist(b) > 2*width {
					if len(corners)%2 == 1 {
						a, b = b, a
					}
					corners = append(corners, strand.Bead{Kind: strand.Patch, Width: width, Points: []geom.Point{a, b}})
				}
				continue
			}
			if len(out)%2 == 1 {
				a, b = b, a
			}
			out = append(out, line(a, b, p.Spacing))
		}
	}
	return out, corners
}

// line is a straight strand of one width.
func line(a, b geom.Point, width float64) strand.Strand {
	return strand.Strand{Points: []geom.Point{a, b}, Width: []float64{width, width}, Start: strand.AtEdge, End: strand.AtEdge, StartLoop: -1, EndLoop: -1}
}

func rectangle(x0, y0, x1, y1 float64) geom.Region {
	return geom.Region{Outer: geom.Polyline(geom.Point{X: x0, Y: y0}, geom.Point{X: x1, Y: y0}, geom.Point{X: x1, Y: y1}, geom.Point{X: x0, Y: y1})}
}

// rows fills a rectangle with one bead to and fro along x.
func rows(x0, y0, x1, y1, width float64) []strand.Bead {
	b := strand.Bead{Kind: strand.Cover, Width: width}
	n := max(1, int(math.Round((y1-y0)/width)))
	for k := range n {
		y := y0 + (float64(k)+0.5)*(y1-y0)/float64(n)
		a, e := geom.Point{X: x0 + width/2, Y: y}, geom.Point{X: x1 - width/2, Y: y}
		if k%2 == 1 {
			a, e = e, a
		}
		b.Points = append(b.Points, a, e)
	}
	return []strand.Bead{b}
}
