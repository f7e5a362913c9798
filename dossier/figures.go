package dossier

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"sinew/figure"
	"sinew/geom"
	"sinew/job"
	"sinew/part"
	"sinew/unit"
)

// crossPitch is how many crosses of principal directions fit along the part:
// enough to follow the flow of force, few enough to see each.
const crossPitch = 60

func finish(d *figure.Drawing, text string) titled {
	return titled{SVG: template.HTML(d.SVG()), Text: text}
}

// partFigures draws the part with what holds and loads it, case by case, and
// the principal stress in a sheet of one even material.
func partFigures(res *job.Results) []titled {
	box := res.Part.Region.Outer.Bounds()
	var out []titled
	for _, c := range res.Part.Cases {
		d := figure.New(c.Name+": supports and loads", box)
		d.Region(res.Part.Region, true)
		drawSteps(d, res.Part)
		drawSupports(d, res.Part)
		drawLoads(d, res.Part, &c)
		nameFeatures(d, res.Part)
		out = append(out, finish(d, fmt.Sprintf("Case %s, factor %s.", c.Name, number(c.Factor, 3))))
	}
	for i, s := range res.Reference {
		d := figure.New(res.Part.Cases[i].Name+": principal stress, one even material", box)
		crosses := make([]figure.Cross, len(s.Points))
		for k, p := range s.Points {
			crosses[k] = figure.Cross{At: p, Angle: s.Angle[k], S1: s.S1[k], S2: s.S2[k]}
		}
		d.Field(res.Mesh, s.PerTri, figure.ScaleFor("largest principal stress by size, MPa", s.PerTri, 0.995))
		d.Region(res.Part.Region, false)
		d.Crosses(crosses, (box.Max.X-box.Min.X)/crossPitch)
		out = append(out, finish(d, "Where force flows when nothing steers it. Strokes: red pulls, blue pushes; longer is stronger."))
	}
	return out
}

// drawSteps draws the outlines of a part whose outline changes with height.
func drawSteps(d *figure.Drawing, p *part.Part) {
	for _, s := range p.Slabs {
		for _, r := range s.Regions {
			d.Region(r, false)
		}
	}
}

func drawSupports(d *figure.Drawing, p *part.Part) {
	names := map[part.SupportKind]string{part.Fixed: "fixed", part.Pinned: "pinned", part.Sliding: "sliding", part.Resting: "resting"}
	for _, s := range p.Supports {
		d.Hold(p.Features[s.Feature].Center, names[s.Kind], s.Angle)
	}
}

// arrowLength in user units of the drawing, the largest force of a case.
const arrowLength = 60.0

func drawLoads(d *figure.Drawing, p *part.Part, c *part.Case) {
	for _, l := range c.Loads {
		at := p.Features[l.Feature].Center
		size, kind := l.Force.Norm()*c.Factor, unit.Force
		if l.Kind == part.Traction || l.Kind == part.Pressure {
			kind = unit.Stress
		}
		label := unit.Format(size, kind)
		if l.Kind == part.Pressure {
			d.Text(at, 8, -8, "start", "pressure "+unit.Format(l.Force.X*c.Factor, unit.Stress))
			continue
		}
		d.Arrow(at, l.Force, arrowLength, label)
	}
	if c.Acceleration != (geom.Point{}) {
		box := p.Region.Outer.Bounds()
		d.Text(geom.Point{X: box.Min.X, Y: box.Max.Y}, 0, -10, "start",
			fmt.Sprintf("accelerated by %s, %s (× factor)", unit.Format(c.Acceleration.X, unit.Acceleration), unit.Format(c.Acceleration.Y, unit.Acceleration)))
	}
	if c.Heat.Acts() {
		d.Text(p.Region.Outer.Bounds().Max, 0, -10, "end", heatText(p, c.Heat.Times(c.Factor)))
	}
}

// heatText tells a change of temperature: of the outline's least and greatest,
// where it is not even, and between the faces.
func heatText(p *part.Part, h part.Heat) string {
	var parts []string
	if h.InPlane() {
		low, high := math.Inf(1), math.Inf(-1)
		for _, e := range p.Region.Outer {
			v := h.At(e.A)
			low, high = math.Min(low, v), math.Max(high, v)
		}
		text := unit.Format(h.Change, unit.TemperatureDifference)
		if h.Slope != (geom.Point{}) {
			text = fmt.Sprintf("%.3g to %.3g K over the plan", low, high)
		}
		parts = append(parts, "temperature changes by "+text)
	}
	if h.Across != 0 {
		parts = append(parts, fmt.Sprintf("upper face %+.3g K against the lower", h.Across*p.Thickness))
	}
	return strings.Join(parts, ", ")
}

func nameFeatures(d *figure.Drawing, p *part.Part) {
	for _, f := range p.Features {
		dy := 4.0
		if f.Kind == part.Hole {
			dy = 26
		}
		d.Text(f.Center, 0, dy, "middle", f.Name)
	}
}

// layerFigures draws each distinct composite layer once.
func layerFigures(res *job.Results) []titled {
	var out []titled
	box := res.Part.Region.Outer.Bounds()
	for _, g := range res.LayerGroups {
		l := &res.Print.Layers[g.Layers[0]]
		d := figure.New(fmt.Sprintf("%s: %d strands", g.Family, len(l.Strands)), box)
		d.Layer(l)
		d.Region(res.Part.Region, false)
		out = append(out, finish(d, fmt.Sprintf("%s. Dark: strands, red dots: their ends, sand: plain plastic. In printed %s.", g.Family, layerList(g.Layers))))
	}
	return out
}

// StrandPicture draws the first of the layers that hold strands, as SVG; ""
// where there is none.
func StrandPicture(res *job.Results) string {
	for _, f := range layerFigures(res) {
		return string(f.SVG)
	}
	return ""
}

func layerList(layers []int) string {
	s := "layer "
	if len(layers) > 1 {
		s = "layers "
	}
	for i, l := range layers {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprint(l + 1)
	}
	return s
}

// markFigures draws how hard the fibre works as printed, and the findings.
func markFigures(res *job.Results) []titled {
	var out []titled
	box := res.Part.Region.Outer.Bounds()
	if res.FibreUse != nil {
		d := figure.New("Use of the fibre as printed, all cases", box)
		d.Field(res.Mesh, res.FibreUse, figure.ScaleFor("required load over load at first fibre failure", finite(res.FibreUse), 1))
		d.Region(res.Part.Region, false)
		out = append(out, finish(d, "The greater of tension and compression over all cases and composite layers; 1 is failure. Blank: no fibre, or not judged."))
	}
	if res.BuildUp != nil {
		d := figure.New("Build-up of the print, all layers", box)
		d.Field(res.Mesh, res.BuildUp, figure.ScaleFor("mm over the layers' heights", finite(res.BuildUp), 1))
		d.Region(res.Part.Region, false)
		out = append(out, finish(d, "Where beads lie on one another there is more, in gaps less; means over 1.5 mm."))
	}
	d := figure.New("Findings", box)
	d.Region(res.Part.Region, true)
	for i, f := range res.Record.Findings {
		d.Flag(geom.Point{X: f.X, Y: f.Y}, f.Severity, fmt.Sprint(i+1))
	}
	if len(res.Record.Findings) > 0 {
		out = append(out, finish(d, "Worst place of each finding, numbered as in the table below. Filled: stops the print; ring: warning; dot: note."))
	}
	return out
}

func finite(v []float64) []float64 {
	var out []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			out = append(out, x)
		}
	}
	return out
}

// collapseFigures draws the way to collapse case by case, the designs together.
func collapseFigures(res *job.Results) []titled {
	var out []titled
	for i, c := range res.Part.Cases {
		var curves []figure.Curve
		text := "Load factor over the movement of the load, as a test with weights would draw it: failing beads lose their stiffness while the load stands, and where the part gives way the load drops."
		for _, d := range res.Record.Designs {
			if i >= len(d.Cases) || d.Cases[i].Collapse == nil {
				continue
			}
			k := d.Cases[i].Collapse
			curves = append(curves, figure.Curve{Name: d.Name, Points: k.Curve})
		}
		if len(curves) > 0 {
			out = append(out, titled{SVG: template.HTML(figure.Plot(c.Name+": the way to collapse", "movement of the load, mm (under moments alone its turn, rad)", "load factor", curves)), Text: text})
		}
	}
	return out
}
