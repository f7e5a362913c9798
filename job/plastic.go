package job

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/strand"
)

// defaultShare is that of sparse plastic layers (common practice).
const defaultShare = 0.3

// checkPlastic notes faults of how plain plastic is laid.
func (t *LayupTable) checkPlastic(l *faultList) {
	c := t.Covers
	if c.Fill != "" {
		l.oneOf("layup.covers.fill", c.Fill, patternNames()...)
	}
	sparse := c.Fill != "" && c.Fill != strand.Solid.String()
	l.within("layup.covers.share", float64(c.Share), 0, 1, "a share such as \"30 %\"")
	l.within("layup.covers.skin", float64(c.Skin), 0, maxLayers, "1 or more layers")
	for _, k := range []struct {
		key   string
		given bool
	}{{"share", c.Share != 0}, {"skin", c.Skin != 0}, {"region", len(c.Regions) > 0}} {
		if k.given && !sparse {
			l.add("layup.covers."+k.key, "means nothing where covers are solid", "give fill = \"gyroid\" or another pattern, or delete it")
		}
	}
	if c.Share != 0 && float64(c.Share) < leastShare {
		l.add("layup.covers.share", fmt.Sprintf("is %g", float64(c.Share)), "give at least 5 %: less holds nothing")
	}
	for i, r := range c.Regions {
		key := fmt.Sprintf("layup.covers.region[%d]", i)
		l.need(key+".at", r.At)
		l.within(key+".within", float64(r.Within), 0.1, 1000, "a distance such as \"8 mm\"")
		if r.Share != nil {
			l.within(key+".share", float64(*r.Share), leastShare, 1, "a share from 5 % to 100 %")
		}
	}
	l.within("layup.border", float64(t.Border), 0, 50, "0 to 50 beads")
	if float64(t.Overhang) < 0 || float64(t.Overhang) > mostOverhang {
		l.add("layup.overhang", fmt.Sprintf("is %.4g°", float64(t.Overhang)*180/math.Pi), "give an angle from upright of 0 to 75°")
	}
	l.within("layup.ring", float64(t.Ring), 0, 50, "a distance such as \"5 mm\"")
}

// mostOverhang, rad: flatter, a layer hardly meets the one below.
const mostOverhang = 75 * math.Pi / 180

// leastShare of a sparse layer.
const leastShare = 0.05

func patternNames() []string {
	var out []string
	for _, p := range strand.Patterns() {
		out = append(out, p.String())
	}
	return out
}

// loadFill settles how plain plastic layers are filled.
func (j *Job) loadFill(in *inputs) error {
	c := j.file.Layup.Covers
	f := strand.Fill{Share: j.coverShare(), Skin: c.Skin}
	for _, p := range strand.Patterns() {
		if p.String() == c.Fill {
			f.Pattern = p
		}
	}
	for i, r := range c.Regions {
		n := j.feature(in.part, fmt.Sprintf("layup.covers.region[%d].at", i), r.At)
		if n < 0 {
			continue
		}
		share := 1.0
		if r.Share != nil {
			share = float64(*r.Share)
		}
		f.Regions = append(f.Regions, strand.FillRegion{Area: around(in.part, n, float64(r.Within)), Share: share})
	}
	in.fill = f
	if s := j.file.Layup.Supports; s && in.body == nil {
		j.faults.add("layup.supports", "means nothing for a drawing, whose layers lie on one another", "delete it")
	} else if s && in.printer.Support == nil {
		j.faults.add("layup.supports", "asks for what the printer's card does not know", "give support_pitch, support_gap and support_side on the card of "+in.printer.ID)
	}
	return j.faults.err()
}

// coverShare is the share of the layers between the skins.
func (j *Job) coverShare() float64 {
	c := j.file.Layup.Covers
	switch {
	case c.Fill == "" || c.Fill == strand.Solid.String():
		return 1
	case c.Share == 0:
		return defaultShare
	}
	return float64(c.Share)
}

// coverHeight is the height of the plain layers under and over the composite.
func (j *Job) coverHeight() float64 {
	c := j.file.Layup.Covers
	return float64(c.Bottom+c.Top) * j.in.printer.PlasticHeight
}

// coverVolume is the height of plastic that they hold, apart from shares of
// their own around features; coverWorth that of solid plastic which would be as
// stiff.
func (j *Job) coverVolume() float64 { return j.coverHeight() * j.coverFill(j.coverShare()) }

func (j *Job) coverWorth() float64 {
	return j.coverHeight() * j.coverFill(material.InfillKeeps(j.coverShare()))
}

// coverFill is the mean over the plain layers of what those between their skins
// have a share of, and the others hold whole.
func (j *Job) coverFill(share float64) float64 {
	c := j.file.Layup.Covers
	between := 0
	for _, n := range [2]int{c.Bottom, c.Top} {
		between += max(0, n-2*max(1, c.Skin))
	}
	if between == 0 {
		return 1
	}
	return 1 - float64(between)*(1-share)/float64(c.Bottom+c.Top)
}

// coverFillAt returns by place the share of the plain layers' volume that is
// under beads and that of their stiffness which it keeps, with the shares around
// features; nil where all is solid.
func (j *Job) coverFillAt() func(geom.Point) (volume, keeps float64) {
	regions := j.in.fill.Regions
	if j.coverFill(0) == 1 || j.coverShare() == 1 && len(regions) == 0 {
		return nil
	}
	return func(p geom.Point) (volume, keeps float64) {
		share := j.coverShare()
		for _, r := range regions {
			if r.Area.Contains(p) {
				share = r.Share
				break
			}
		}
		return j.coverFill(share), j.coverFill(material.InfillKeeps(share))
	}
}

// aroundFlat, mm, is how far a region's border may lie off the true distance.
const aroundFlat = 0.05

// around is what lies within a distance of a feature.
func around(p *part.Part, feature int, within float64) geom.Polygons {
	f := p.Features[feature]
	if f.Diameter > 0 {
		return geom.Polygons{geom.Circle(f.Center, f.Diameter/2+within).Flatten(aroundFlat)}
	}
	var out geom.Polygons
	for _, e := range f.Edges {
		pts := p.Region.Loops()[f.Loop][e].Flatten(aroundFlat)
		for i := 1; i < len(pts); i++ {
			out = out.Union(capsule(pts[i-1], pts[i], within))
		}
	}
	return out
}

// capsule is what lies within a distance of a straight piece.
func capsule(a, b geom.Point, r float64) geom.Polygons {
	v := b.Sub(a)
	if v.Norm() == 0 {
		return geom.Polygons{geom.Circle(a, r).Flatten(aroundFlat)}
	}
	start := math.Atan2(v.Y, v.X) - math.Pi/2
	var p geom.Polygon
	const half = 24 // sides of a half circle: within aroundFlat for radii up to 23 mm, beyond that outside is cut
	for k, c := range [2]geom.Point{b, a} {
		for i := range half + 1 {
			sin, cos := math.Sincos(start + math.Pi*(float64(k)+float64(i)/half))
			p = append(p, c.Add(geom.Point{X: r * cos, Y: r * sin}))
		}
	}
	return geom.Polygons{p}
}
