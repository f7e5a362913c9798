package job

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"sinew/drawing"
	"sinew/strand"
)

// strandsName is the list of all strands.
const strandsName = "strands.csv"

// strandList writes one line for each strand, in printing order: what it is,
// how long, how it bends, how much tow its bead holds, and why it ends where it
// does. Layers count from 1, as in findings and program.
func (j *Job) strandList(l laid) []byte {
	var b strings.Builder
	b.WriteString("layer,family,strand,length_mm,turning_deg,least_radius_mm,tow_share_least,tow_share_mean,tow_share_greatest,start,end,start_x_mm,start_y_mm,end_x_mm,end_y_mm\n")
	for i := range l.Print.Layers {
		y := &l.Print.Layers[i]
		for k := range y.Strands {
			s := &y.Strands[k]
			lo, mean, hi := j.shares(s, y.Height)
			from, to := s.Points[0], s.Points[len(s.Points)-1]
			fmt.Fprintf(&b, "%d,%q,%d,%.2f,%.1f,%.2f,%.4f,%.4f,%.4f,%s,%s,%.3f,%.3f,%.3f,%.3f\n",
				y.Index+1, l.Layup.Families[s.Family].Name, k+1, s.Length(), s.Turning()*180/math.Pi, finiteOr(s.LeastRadius(), maxRadius),
				lo, mean, hi, s.Start, s.End, from.X, from.Y, to.X, to.Y)
		}
	}
	return []byte(b.String())
}

// drawnName is the drawing of all strands that differ.
const drawnName = "strands.dxf"

// strandDrawing draws the strands of one layer of each kind, on drawing layers
// that bear the family's name, the further kinds of it with a number. A drawn
// family of another run can take them from there.
func (r *Results) strandDrawing(l laid) ([]byte, error) {
	var list []drawing.Trace
	kinds := map[string]int{}
	for _, g := range r.LayerGroups {
		y := &l.Print.Layers[g.Layers[0]]
		kinds[l.Layup.Families[y.Family].Name]++
		for k := range y.Strands {
			s := &y.Strands[k]
			name := l.Layup.Families[s.Family].Name
			if n := kinds[name]; n > 1 {
				name = fmt.Sprintf("%s %d", name, n)
			}
			list = append(list, drawing.Trace{Layer: name, Edges: s.Arcs(strand.FitTolerance), Closed: s.Closed})
		}
	}
	var b bytes.Buffer
	err := drawing.WriteDXF(&b, list)
	return b.Bytes(), err
}

// shares returns the least, mean and greatest share of tow in the bead along a
// strand.
func (j *Job) shares(s *strand.Strand, height float64) (lo, mean, hi float64) {
	lo = math.Inf(1)
	length := 0.0
	for i, w := range s.Width {
		v := j.in.law.TowArea() / (height * math.Max(w, j.in.printer.SpacingMin))
		lo, hi = math.Min(lo, v), math.Max(hi, v)
		if i > 0 {
			d := s.Points[i].Dist(s.Points[i-1])
			mean, length = mean+v*d, length+d
		}
	}
	return lo, mean / math.Max(length, leastLength), hi
}

// leastLength, mm, keeps a strand without length from dividing by nothing.
const leastLength = 1e-9
