package drawing

import (
	"math"
	"strings"
	"testing"

	"sinew/geom"
)

func mustSVG(t *testing.T, body string) *Drawing {
	t.Helper()
	d, err := ReadSVG(strings.NewReader(`<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">`+body+`</svg>`), Settings{})
	if err != nil {
		t.Fatalf("%s: %v", body, err)
	}
	return d
}

func svgRegions(t *testing.T, body string) []geom.Region {
	t.Helper()
	r, err := mustSVG(t, body).Regions(JoinSettings{Tolerance: 0.01})
	if err != nil {
		t.Fatalf("%s: %v", body, err)
	}
	return r
}

// Areas and middles follow from the formulas of the shapes.
func TestSVGShapes(t *testing.T) {
	for name, c := range map[string]struct {
		body string
		area float64
		mid  geom.Point
		arcs int // exact count of arcs; -1: any
	}{
		"rect":              {`<rect x="10" y="10" width="20" height="10"/>`, 200, geom.Point{X: 20, Y: 65}, 0},
		"rounded rect":      {`<rect x="10" y="10" width="20" height="10" rx="2"/>`, 200 - (4-math.Pi)*4, geom.Point{X: 20, Y: 65}, 4},
		"circle":            {`<circle cx="50" cy="20" r="10"/>`, math.Pi * 100, geom.Point{X: 50, Y: 60}, 2},
		"ellipse":           {`<ellipse cx="50" cy="20" rx="10" ry="5"/>`, math.Pi * 50, geom.Point{X: 50, Y: 60}, -1},
		"polygon":           {`<polygon points="0,0 10,0 10,10"/>`, 50, geom.Point{X: 5, Y: 75}, 0},
		"lines":             {`<line x1="0" y1="0" x2="10" y2="0"/><line x1="10" y1="10" x2="10" y2="0"/><polyline points="0,0 10 10"/>`, 50, geom.Point{X: 5, Y: 75}, 0},
		"path":              {`<path d="M10 10h20v10h-20z"/>`, 200, geom.Point{X: 20, Y: 65}, 0},
		"path, relative":    {`<path d="m10,10 20,0 0,10 -20,0z"/>`, 200, geom.Point{X: 20, Y: 65}, 0},
		"path, arcs":        {`<path d="M40 20A10 10 0 0 1 60 20A10 10 0 0 1 40 20Z"/>`, math.Pi * 100, geom.Point{X: 50, Y: 60}, 2},
		"path, tight arcs":  {`<path d="M40 20a10 10 0 0120 0 10 10 0 01-20 0"/>`, math.Pi * 100, geom.Point{X: 50, Y: 60}, 2},
		"path, large arc":   {`<path d="M50 10A10 10 0 1 1 40 20L50 20Z"/>`, math.Pi * 75, geom.Point{X: 50, Y: 60}, 2},
		"path, quarter":     {`<path d="M50 10A10 10 0 0 1 60 20L50 20Z"/>`, math.Pi * 25, geom.Point{X: 55, Y: 65}, 1},
		"path, other way":   {`<path d="M50 10A10 10 0 0 0 60 20L60 10Z"/>`, math.Pi * 25, geom.Point{X: 55, Y: 65}, 1},
		"path, small radii": {`<path d="M40 20A1 1 0 0 1 60 20Z"/>`, math.Pi * 50, geom.Point{X: 50, Y: 65}, 1},
		"path, turned arc":  {`<path d="M40 20A10 5 90 0 1 60 20Z"/>`, math.Pi * 200 / 2, geom.Point{X: 50, Y: 70}, -1},
		"quadratic":         {`<path d="M0 0Q5 10 10 0Z"/>`, 10 * 10.0 / 3, geom.Point{X: 5, Y: 77.5}, -1},
		"smooth quadratic":  {`<path d="M0 0Q5 10 10 0T20 0L20 20H0Z"/>`, 400, geom.Point{X: 10, Y: 72.5 - 0.0}, -1},
		"cubic":             {`<path d="M0 0C0 8 10 8 10 0Z"/>`, 0.75 * 8 * 10 * 0.8, geom.Point{X: 5, Y: 77}, -1},
		"translate":         {`<g transform="translate(5 5)"><rect width="10" height="10"/></g>`, 100, geom.Point{X: 10, Y: 70}, 0},
		"rotate about":      {`<circle cx="50" cy="20" r="10" transform="rotate(90 50 30)"/>`, math.Pi * 100, geom.Point{X: 60, Y: 50}, 2},
		"mirrored":          {`<path transform="matrix(-1 0 0 1 100 0)" d="M50 10A10 10 0 0 1 60 20L50 20Z"/>`, math.Pi * 25, geom.Point{X: 45, Y: 65}, 1},
		"squeezed":          {`<circle r="10" transform="translate(50,20) scale(1,.5)"/>`, math.Pi * 50, geom.Point{X: 50, Y: 60}, -1},
		"use":               {`<defs><rect id="r" width="10" height="10"/></defs><use href="#r" x="20" y="5"/>`, 100, geom.Point{X: 25, Y: 70}, 0},
		"use of a symbol":   {`<symbol id="s"><rect width="10" height="10"/></symbol><use href="#s" x="20" y="5"/>`, 100, geom.Point{X: 25, Y: 70}, 0},
		"hidden":            {`<rect width="10" height="10"/><rect x="50" width="10" height="10" display="none"/><g style="fill:red; display:none"><circle r="1"/></g>`, 100, geom.Point{X: 5, Y: 75}, 0},
		"lengths":           {`<rect x="1in" width="96px" height="96"/>`, 96 * 96, geom.Point{X: 144, Y: 32}, 0},
	} {
		t.Run(name, func(t *testing.T) {
			r := svgRegions(t, c.body)
			if len(r) != 1 {
				t.Fatalf("%d regions", len(r))
			}
			// The fit lies within 0.005 mm of the curve.
			tol := 1e-9
			if c.arcs < 0 {
				tol = defaultTolerance * r[0].Outer.Length()
			}
			if got := r[0].Area(); math.Abs(got-c.area) > tol {
				t.Errorf("area %v, want %v", got, c.area)
			}
			if got := r[0].Bounds().Middle(); name != "smooth quadratic" && got.Dist(c.mid) > 1e-9+10*tol {
				t.Errorf("middle %v, want %v", got, c.mid)
			}
			arcs := 0
			for _, e := range r[0].Outer {
				if e.IsArc() {
					arcs++
				}
			}
			if c.arcs >= 0 && arcs != c.arcs {
				t.Errorf("%d arcs, want %d", arcs, c.arcs)
			}
		})
	}
}

func TestSVGScale(t *testing.T) {
	for name, c := range map[string]struct {
		attrs string
		units string
		width float64 // of a 10 × 10 rect
	}{
		"one to one":      {`width="100mm" height="80mm" viewBox="0 0 100 80"`, "", 10},
		"inches":          {`width="1in" viewBox="0 0 100 80"`, "", 2.54},
		"no view box":     {`width="100mm" height="80mm"`, "", 10 * 25.4 / 96},
		"stated by job":   {`viewBox="0 0 100 80"`, "cm", 100},
		"pixels, stated":  {`width="100" height="80px" viewBox="0 0 100 80"`, "mm", 10},
		"stated alike":    {`width="100mm" viewBox="0 0 100 80"`, "mm", 10},
		"percent, stated": {`width="100%"`, "mm", 10},
	} {
		d, err := ReadSVG(strings.NewReader(`<svg `+c.attrs+`><rect width="10" height="10"/></svg>`), Settings{Units: c.units})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		r, err := d.Regions(JoinSettings{})
		if err != nil || math.Abs(r[0].Bounds().Size().X-c.width) > 1e-9 {
			t.Errorf("%s: %v, %v; want width %v", name, r, err, c.width)
		}
	}
}

func TestSVGRefuses(t *testing.T) {
	const head = `<svg width="100mm" viewBox="0 0 100 100">`
	for name, c := range map[string]struct{ text, want string }{
		"rubbish":         {"\x00\x01\x02\x03", "not well-formed"},
		"empty":           {"", "not an SVG file"},
		"other XML":       {"<html></html>", "not an SVG file"},
		"truncated":       {head + `<rect width="10" hei`, "line 1: this is not well-formed"},
		"entities":        {`<!DOCTYPE svg [<!ENTITY a "aaaa">]>` + head + `</svg>`, "declares entities"},
		"no unit":         {`<svg viewBox="0 0 9 9"><rect width="1" height="1"/></svg>`, "states no unit"},
		"two scales":      {`<svg width="10mm" height="10mm" viewBox="0 0 10 20"></svg>`, "two different scales"},
		"bad view box":    {`<svg width="10mm" viewBox="0 0 0 20"></svg>`, "viewBox"},
		"nothing":         {head + `<text>a</text></svg>`, "no lines, arcs or curves (1 × text ignored"},
		"uses itself":     {head + `<g id="a"><use href="#a"/></g></svg>`, `"a" uses itself`},
		"uses in a ring":  {head + `<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></svg>`, "uses itself"},
		"no such use":     {head + `<use href="#b"/></svg>`, `no element "b"`},
		"outside use":     {head + `<use href="other.svg#b"/></svg>`, "outside the file"},
		"bad transform":   {head + `<g transform="spin(3)"><rect width="1" height="1"/></g></svg>`, "transform"},
		"flat transform":  {head + `<g transform="scale(0)"><rect width="1" height="1"/></g></svg>`, "leaves no area"},
		"bad path":        {head + `<path d="M0 0L1"/></svg>`, "command L"},
		"path of words":   {head + `<path d="hello"/></svg>`, "where a command is wanted"},
		"NaN":             {head + `<path d="M0 0LNaN 1"/></svg>`, "where a number is wanted"},
		"huge":            {head + `<path d="M0 0L1e200 1e200L0 1e200z"/></svg>`, "a coordinate of"},
		"overflow":        {head + `<path d="M0 0L1e999 1"/></svg>`, "where a number is wanted"},
		"percent":         {head + `<rect width="50%" height="1"/></svg>`, `width is "50%"`},
		"negative radius": {head + `<circle r="-1"/></svg>`, "not positive"},
		"deep":            {head + strings.Repeat("<g>", 1000), "too deep"},
		"inner svg":       {head + `<svg/></svg>`, "svg within"},
	} {
		_, err := ReadSVG(strings.NewReader(c.text), Settings{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", name, err, c.want)
		}
	}
}

// Uses of uses grow as a power of their depth; time and memory must not.
func TestSVGUsesAreBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString(`<svg width="100mm" viewBox="0 0 100 100"><g id="aa"><rect width="1" height="1"/></g>`)
	for i := range 20 {
		b.WriteString(`<g id="a` + string(rune('b'+i)) + `">` + strings.Repeat(`<use href="#a`+string(rune('a'+i))+`"/>`, 10) + `</g>`)
	}
	b.WriteString(`</svg>`)
	if _, err := ReadSVG(strings.NewReader(b.String()), Settings{}); err == nil || !strings.Contains(err.Error(), "the drawing has") {
		t.Error(err)
	}
}

func TestSVGLayers(t *testing.T) {
	d, err := ReadSVG(strings.NewReader(`<svg width="100mm" viewBox="0 0 100 100"><g id="part"><rect width="10" height="10"/></g><g id="notes"><circle r="90"/></g></svg>`), Settings{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := d.Regions(JoinSettings{Layers: []string{"part"}})
	if err != nil || len(r) != 1 || math.Abs(r[0].Area()-100) > 1e-9 || r[0].Outer[0].Label != "part" {
		t.Errorf("%v, %v", r, err)
	}
	if _, err := d.Regions(JoinSettings{Layers: []string{"prat"}}); err == nil || !strings.Contains(err.Error(), `layer "prat"; name one of notes, part`) {
		t.Error(err)
	}
}

func FuzzReadSVG(f *testing.F) {
	for _, s := range []string{`<rect width="1" height="1" rx=".1"/>`, `<path d="M0 0A1 2 3 0 1 4 5C1 2 3 4 5 6S1 2 3 4Q1 2 3 4T1 2z"/>`, `<g transform="skewX(3)scale(1,2)"><circle r="1"/></g>`, `<use href="#a"/>`} {
		f.Add([]byte(`<svg width="9mm" viewBox="0 0 9 9">` + s + `</svg>`))
	}
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, data, ReadSVG) })
}
