package figure

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// Cloud is a set of points of a plot that belong together.
type Cloud struct {
	Name   string
	Points [][2]float64
	Labels []string // one a point, or nil
}

// cloudMarks tell clouds apart by shape as well as by ink: a filled disc, a ring,
// a cross.
var cloudMarks = [...]string{
	`<circle cx="%s" cy="%s" r="5" fill="#1d2a33"/>`,
	`<circle cx="%s" cy="%s" r="4" fill="none" stroke="#1f5d8a" stroke-width="1.6"/>`,
	`<path d="M%s %sm-4 -4l8 8m-8 0l8 -8" fill="none" stroke="#a8321f" stroke-width="1.6"/>`,
}

// Scatter draws clouds of points over two axes that span what there is: the first
// as discs, the second as rings, the third as crosses.
func Scatter(caption string, x, y Axis, clouds []Cloud) string {
	fromX, toX := extent(clouds, 0)
	fromY, toY := extent(clouds, 1)
	f := newFrame(fromX, toX, fromY, toY)
	var b strings.Builder
	f.open(&b, caption, x, y)
	for i, c := range clouds {
		mark := cloudMarks[i%len(cloudMarks)] + "\n"
		for k, p := range c.Points {
			fmt.Fprintf(&b, mark, num(f.x(p[0])), num(f.y(p[1])))
			if c.Labels != nil {
				fmt.Fprintf(&b, `<text x="%s" y="%s" class="n">%s</text>`+"\n", num(f.x(p[0])+8), num(f.y(p[1])-5), html.EscapeString(c.Labels[k]))
			}
		}
		at := plotTop + 18*float64(i+1)
		fmt.Fprintf(&b, mark, num(f.right+32), num(at-4))
		fmt.Fprintf(&b, `<text x="%s" y="%s">%s</text>`+"\n", num(f.right+56), num(at), html.EscapeString(c.Name))
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// oneValue is the share of their size up to which figures that differ are drawn
// as one: below it the difference is rounding, and no scale can show it.
const oneValue = 1e-9

// extent is the range of an axis: what there is, and a twelfth on either side.
func extent(clouds []Cloud, axis int) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, c := range clouds {
		for _, p := range c.Points {
			from, to = math.Min(from, p[axis]), math.Max(to, p[axis])
		}
	}
	size := math.Max(math.Abs(from), math.Abs(to))
	switch beside := (to - from) / 12; {
	case from > to:
		return 0, 1
	case to-from <= oneValue*size:
		beside = math.Max(math.Abs(from)/12, 1)
		return from - beside, to + beside
	default:
		return from - beside, to + beside
	}
}
