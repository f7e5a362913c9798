package figure

import (
	"fmt"
	"html"
	"math"

	"sinew/geom"
)

// Arrow draws a force with its tip at a point of the part; length in user
// units.
func (d *Drawing) Arrow(tip geom.Point, dir geom.Point, length float64, label string) {
	n := dir.Norm()
	if n == 0 {
		return
	}
	x, y := d.xy(tip)
	ux, uy := dir.X/n, -dir.Y/n
	fmt.Fprintf(&d.body, `<path d="M%s %sL%s %s" stroke="%s" stroke-width="2"/><path d="M%s %sL%s %sL%s %sZ" fill="%s"/>`+"\n",
		num(x-length*ux), num(y-length*uy), num(x-6*ux), num(y-6*uy), loadInk,
		num(x), num(y), num(x-10*ux-4*uy), num(y-10*uy+4*ux), num(x-10*ux+4*uy), num(y-10*uy-4*ux), loadInk)
	anchor := "start"
	if ux > 0.3 {
		anchor = "end"
	}
	fmt.Fprintf(&d.body, `<text x="%s" y="%s" text-anchor="%s" class="n">%s</text>`+"\n", num(x-length*ux-4*ux), num(y-length*uy-5), anchor, html.EscapeString(label))
}

// Hold draws the sign of a support: hatched for fixed, a triangle for pinned,
// a triangle on a line for sliding along angle.
func (d *Drawing) Hold(at geom.Point, kind string, angle float64) {
	x, y := d.xy(at)
	switch kind {
	case "fixed":
		fmt.Fprintf(&d.body, `<path d="M%s %sm-11 7h22m-22 0l-5 6m10 -6l-5 6m10 -6l-5 6m10 -6l-5 6m9 -6l-5 6" stroke="%s" stroke-width="1.6" fill="none"/>`+"\n", num(x), num(y), holdInk)
	case "sliding":
		fmt.Fprintf(&d.body, `<g transform="translate(%s %s) rotate(%s)"><path d="M0 0l-12 -7v14zM-14 -9v18" stroke="%s" stroke-width="1.6" fill="none"/></g>`+"\n", num(x), num(y), num(-angle*180/math.Pi), holdInk)
	default:
		fmt.Fprintf(&d.body, `<path d="M%s %sl-7 12h14z" stroke="%s" stroke-width="1.6" fill="none"/>`+"\n", num(x), num(y), holdInk)
	}
}

// Flag draws a numbered marker at a point: stop filled, warn hollow, note a
// dot.
func (d *Drawing) Flag(at geom.Point, severity, label string) {
	x, y := d.xy(at)
	fill, r := "none", 7.0
	switch severity {
	case "stop":
		fill = loadInk
	case "note":
		r = 3
	}
	fmt.Fprintf(&d.body, `<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="1.8"/>`, num(x), num(y), num(r), fill, loadInk)
	fmt.Fprintf(&d.body, `<text x="%s" y="%s" class="n">%s</text>`+"\n", num(x+r+3), num(y+4), html.EscapeString(label))
}
