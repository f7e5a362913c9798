package job

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/strand"
)

// The strands of a region stay as a former run laid them, the rest is planned
// anew around them.
func TestRegionKeepsItsStrands(t *testing.T) {
	run := func(text string, files map[string]string) (*Results, string) {
		files[FileName], files[sampleName] = text, plate()
		dir := writeFiles(t, files)
		return runJob(t, dir, Options{Workers: 1}), dir
	}
	slanted := strings.Replace(smallText, `"steered"`, "\"straight\"\nangle = \"4 °\"", 1)
	_, dir := run(slanted, map[string]string{})
	former, err := os.ReadFile(filepath.Join(dir, "out", drawnName))
	if err != nil {
		t.Fatal(err)
	}
	// Now steered, but for the strands beside the lower edge.
	text := strings.Replace(smallText, "[mesh]", `[[layup.family]]
name = "kept"
kind = "drawn"
into = "steered"
drawing = "former.dxf"
drawing_layers = ["straight"]
within = [["10 mm", "-15 mm"], ["100 mm", "-15 mm"], ["100 mm", "-10 mm"], ["10 mm", "-10 mm"]]
[mesh]`, 1)
	r, _ := run(text, map[string]string{"former.dxf": string(former)})
	kept, others := 0, 0
	sin, cos := math.Sincos(4 * math.Pi / 180)
	for _, l := range r.Print.Layers {
		if n := len(strand.Crossings(l.Strands)); n > 0 {
			t.Errorf("layer %d: %d crossings", l.Index, n)
		}
		for i := range l.Strands {
			s := &l.Strands[i]
			if s.Family != 1 {
				others++
				continue
			}
			kept++
			for _, p := range s.Points {
				if p.Y < -15 || p.Y > -10+0.01 || p.X < 10-2 || p.X > 100+2 { // run on to the edge where that is near
					t.Fatalf("a kept strand at %v", p)
				}
			}
			d := s.Points[len(s.Points)-1].Sub(s.Points[0])
			if off := math.Abs(d.Cross(geom.Point{X: cos, Y: sin})) / d.Norm(); off > 0.01 {
				t.Errorf("a kept strand runs along %v", d)
			}
		}
	}
	if kept < 4 || others < 10 {
		t.Errorf("%d strands kept, %d others", kept, others)
	}
}
