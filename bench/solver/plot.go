package main

import (
	"bytes"
	"fmt"
	"math"
)

// plot draws first solution and refactorisation against size, both scales
// logarithmic: ours and the fastest reference of each library.
func plot(sizes []int, all [][]figures) []byte {
	const width, height, left, bottom = 640.0, 420.0, 70.0, 50.0
	x := func(n float64) float64 { return left + (width-left-150)*math.Log(n/4e4)/math.Log(6e5/4e4) }
	y := func(t float64) float64 { return (height - bottom) * (1 - math.Log(t/0.01)/math.Log(10/0.01)) }
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 -10 %g %g" font-family="sans-serif" font-size="12">`+"\n", width, height+10)
	fmt.Fprintf(&b, `<rect y="-10" width="%g" height="%g" fill="white"/>`+"\n", width, height+10)
	for _, t := range []float64{0.01, 0.1, 1, 10} {
		fmt.Fprintf(&b, `<path d="M%g %gH%g" stroke="#ccc"/><text x="%g" y="%g" text-anchor="end">%g s</text>`+"\n", left, y(t), width-150, left-6, y(t)+4, t)
	}
	for _, n := range sizes {
		fmt.Fprintf(&b, `<text x="%.1f" y="%g" text-anchor="middle">%d</text>`+"\n", x(float64(n)), height-bottom+18, n)
	}
	fmt.Fprintf(&b, `<text x="%g" y="%g" text-anchor="middle">unknowns</text>`+"\n", (left+width-150)/2, height-12)
	groups := []struct {
		name, colour string
		from, to     int
	}{{"sinew", "#c22", 0, 1}, {"CHOLMOD", "#26a", 3, 7}, {"MUMPS", "#484", 7, 11}}
	for g, group := range groups {
		for k, what := range []string{"first", "refactor"} {
			path := "M"
			for i, n := range sizes {
				least := math.Inf(1)
				for _, f := range all[i][group.from:group.to] {
					least = math.Min(least, []float64{f.first, f.refactor}[k])
				}
				path += fmt.Sprintf("%.1f %.1f ", x(float64(n)), y(least))
			}
			fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="%s" stroke-width="2" stroke-dasharray="%s"/>`+"\n", path, group.colour, []string{"none", "5 4"}[k])
			fmt.Fprintf(&b, `<path d="M%g %gh24" stroke="%s" stroke-width="2" stroke-dasharray="%s"/><text x="%g" y="%g">%s, %s</text>`+"\n",
				width-140, 20+float64(40*g+18*k), group.colour, []string{"none", "5 4"}[k], width-110, 24+float64(40*g+18*k), group.name, what)
		}
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}
