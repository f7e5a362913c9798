package job

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"sinew/strand"
)

// Drawn strands come from the job file and from a drawing, fill layers of
// their own or lie locked in another family's.
func TestDrawnFamilies(t *testing.T) {
	const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
<g id="along"><path d="M5 105 h90"/></g><g id="other"><path d="M5 95 h90"/></g></svg>`
	text := strings.Replace(smallText, "[mesh]", `[[layup.family]]
name = "own layer"
kind = "drawn"
layers = 2
paths = [[["-5 mm", "12 mm"], ["105 mm", "12 mm"]], [["-5 mm", "-12 mm"], ["105 mm", "-12 mm"]]]

[[layup.family]]
name = "locked"
kind = "drawn"
into = "steered"
drawing = "paths.svg"
drawing_layers = ["along"]
[mesh]`, 1)
	text = strings.Replace(text, `"1.04 mm"`, `"1.68 mm"`, 1)
	dir := writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing), "paths.svg": svg})
	r := runJob(t, dir, Options{Workers: 1})
	own, locked := 0, 0
	for _, l := range r.Print.Layers {
		for i := range l.Strands {
			s := &l.Strands[i]
			switch {
			case l.Kind == strand.Composite && l.Family == 1:
				own++
				if n := s.Length(); math.Abs(math.Abs(s.Points[0].Y)-12) > 1e-9 || n < 100 {
					t.Errorf("drawn strand from %v, %g mm long", s.Points[0], n)
				}
			case s.Family == 2:
				locked++
				if y := s.Points[0].Y; math.Abs(y+5) > 1e-6 || l.Family != 0 {
					t.Errorf("locked strand at y = %g in a layer of family %d", y, l.Family)
				}
			}
		}
	}
	compareStrandList(t, filepath.Join(dir, "out", strandsName), r.Print)
	if own != 4 || locked != 2 {
		t.Errorf("%d drawn and %d locked strands, want 4 and 2", own, locked)
	}
	again, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	moved := strings.Replace(svg, "M5 105", "M5 106", 1)
	other := writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing), "paths.svg": moved})
	j, err := Open(other, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if again.layKey(key{}) == j.layKey(key{}) {
		t.Error("strands of a changed drawing would not be laid anew")
	}
}

// Ribs of two angles and figures of eight run through the whole chain without a
// finding that stops.
func TestRibsAndFiguresOfEight(t *testing.T) {
	text := strings.Replace(smallText, "kind = \"steered\"\nlayers = 2\nspacing = \"1.2 mm\"", `kind = "ribs"
pitch = "9 mm"
bundle = 2
by_load = true
layers = 2

[[layup.family]]
kind = "ribs"
name = "across"
pitch = "8 mm"
angle = "10 °"
layers = 2

[[layup.family]]
kind = "loop"
around = ["left hole", "right hole"]
figure_eight = true
turns = 2
layers = 2`, 1)
	text = strings.Replace(text, `"1.04 mm"`, `"2.32 mm"`, 1)
	dir := writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing)})
	j, err := Open(dir, Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	r, err := j.Run(context.Background(), Check, "check")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Record.Findings {
		if f.Severity == "stop" {
			t.Errorf("%s in layer %d at (%.1f, %.1f): %s", f.ID, f.Layer, f.X, f.Y, f.What)
		}
	}
	byFamily := map[int]int{}
	for _, l := range r.Print.Layers {
		for i := range l.Strands {
			byFamily[l.Strands[i].Family]++
		}
	}
	if byFamily[0] < 8 || byFamily[1] < 2 || byFamily[2] != 4 {
		t.Errorf("strands by family: %v", byFamily)
	}
}

// compareStrandList holds the list of strands in a file to the strands.
func compareStrandList(t *testing.T, path string, pr *strand.Print) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	row := 0
	for _, l := range pr.Layers {
		for k := range l.Strands {
			s := &l.Strands[k]
			if row++; row == len(rows) {
				t.Fatalf("the list ends before layer %d, strand %d", l.Index+1, k+1)
			}
			end := s.Points[len(s.Points)-1]
			for name, want := range map[string]string{
				"layer": strconv.Itoa(l.Index + 1), "strand": strconv.Itoa(k + 1), "length_mm": fmt.Sprintf("%.2f", s.Length()),
				"start": fmt.Sprint(s.Start), "end": fmt.Sprint(s.End), "end_x_mm": fmt.Sprintf("%.3f", end.X), "end_y_mm": fmt.Sprintf("%.3f", end.Y),
			} {
				if got := rows[row][column[name]]; got != want {
					t.Errorf("line %d: %s %q, want %q", row+1, name, got, want)
				}
			}
		}
	}
	if row+1 != len(rows) {
		t.Errorf("the list has %d strands, the print %d", len(rows)-1, row)
	}
}
