package job

import (
	"fmt"
	"path/filepath"

	"sinew/drawing"
	"sinew/geom"
)

// Limits on given paths: they bound memory and time, not use.
const (
	maxPaths      = 2000
	maxPathPoints = 20_000
	maxPathLength = 1e5 // mm
)

// pathTolerance is how far the chords of a drawn path may lie off its arcs, mm.
const pathTolerance = 0.002

// checkDrawn notes what a family says about given paths and should not.
func (t *FamilyTable) checkDrawn(key string, l *faultList) {
	if t.Kind != "drawn" {
		for _, k := range []struct {
			name  string
			given bool
		}{
			{"drawing", t.Drawing != ""}, {"units", t.Units != ""}, {"drawing_layers", len(t.DrawingLayers) > 0},
			{"paths", len(t.Paths) > 0}, {"within", len(t.Within) > 0}, {"smooth", t.Smooth}, {"into", t.Into != ""},
		} {
			if k.given {
				l.add(key+"."+k.name, "does not go with "+t.Kind, "delete it, or make the family drawn")
			}
		}
		return
	}
	if t.Drawing == "" && len(t.Paths) == 0 {
		l.add(key, "a drawn family has no path", "name a drawing, or give paths = [[[\"x mm\", \"y mm\"], …]]")
	}
	if t.Drawing == "" && len(t.DrawingLayers) > 0 {
		l.add(key+".drawing_layers", "there is no drawing to take layers from", "name it with drawing, or delete this key")
	}
	if t.Into != "" && t.Layers != 0 {
		l.add(key+".layers", "does not go with into: these strands lie in that family's layers", "delete one of the two")
	}
	if n := len(t.Within); n > 0 && (n < 3 || n > maxPathPoints) {
		l.add(key+".within", fmt.Sprintf("has %d corners", n), fmt.Sprintf("give 3 to %d corners of an area", maxPathPoints))
	}
	for i, p := range t.Paths {
		if len(p) < 2 || len(p) > maxPathPoints {
			l.add(key+".paths", fmt.Sprintf("path %d has %d points", i+1, len(p)), fmt.Sprintf("give 2 to %d points", maxPathPoints))
		}
	}
}

// loadPaths reads the given paths of all families.
func (j *Job) loadPaths(in *inputs) error {
	in.paths = make([][]geom.Path, len(j.file.Layup.Families))
	for i := range j.file.Layup.Families {
		t := &j.file.Layup.Families[i]
		if t.Kind != "drawn" {
			continue
		}
		key := fmt.Sprintf("layup.family[%d]", i)
		j.checkInto(key, t)
		for _, p := range t.Paths {
			in.paths[i] = append(in.paths[i], inlinePath(p))
		}
		if t.Drawing != "" {
			list, err := j.drawnPaths(in, key, t)
			if err != nil {
				return err
			}
			in.paths[i] = append(in.paths[i], list...)
		}
		if len(t.Within) > 0 {
			in.paths[i] = j.pathsWithin(in, key, in.paths[i], inlinePath(t.Within).Points)
		}
		j.checkPaths(key, in.paths[i], in.part.Region)
	}
	return j.faults.err()
}

// pathsWithin cuts paths to an area. Pieces that the cutter cannot part are left
// out.
func (j *Job) pathsWithin(in *inputs, key string, paths []geom.Path, corners []geom.Point) []geom.Path {
	area := geom.Polygons{corners}.Union(nil)
	if !(area.Area() > 0) {
		j.faults.add(key+".within", "holds no area", "give its corners in order")
		return paths
	}
	cutter := 0.0
	if in.printer != nil { // a job in the making may have none
		cutter = in.printer.CutterDistance
	}
	clip := geom.NewClipper(area)
	var out []geom.Path
	for _, p := range paths {
		for _, q := range clip.Clip(p) {
			if q.Length() >= cutter {
				out = append(out, q)
			}
		}
	}
	if len(out) == 0 {
		j.faults.add(key+".within", fmt.Sprintf("holds no piece of %d paths as long as the cutter's %.4g mm", len(paths), cutter), "widen the area")
	}
	return out
}

// checkInto notes a family to lie in that is not there.
func (j *Job) checkInto(key string, t *FamilyTable) {
	if t.Into == "" {
		return
	}
	for _, f := range j.file.Layup.Families {
		name := f.Name
		if name == "" {
			name = f.Kind
		}
		if name == t.Into && f.Kind != "drawn" {
			return
		}
	}
	j.faults.add(key+".into", fmt.Sprintf("there is no family %q that is not drawn itself", t.Into), "name another family of this job")
}

// inlinePath reads a path's points; one that comes back to its first point is
// closed.
func inlinePath(p [][2]Length) geom.Path {
	var out geom.Path
	for _, q := range p {
		out.Points = append(out.Points, geom.Point{X: float64(q[0]), Y: float64(q[1])})
	}
	if n := len(out.Points); n > 3 && out.Points[0] == out.Points[n-1] {
		out.Points, out.Closed = out.Points[:n-1], true
	}
	return out
}

// drawnPaths reads the paths of a drawing.
func (j *Job) drawnPaths(in *inputs, key string, t *FamilyTable) ([]geom.Path, error) {
	name := filepath.Clean(filepath.FromSlash(t.Drawing))
	if !filepath.IsLocal(name) {
		j.faults.add(key+".drawing", fmt.Sprintf("%q lies outside the job's folder", t.Drawing), "copy the drawing into the folder")
		return nil, nil
	}
	data, err := j.readBeside(name, t.Drawing, maxDrawingBytes)
	if err != nil {
		return nil, err
	}
	in.note("drawing", t.Drawing, "", data)
	d, err := readDrawing(t.Drawing, data, t.Units)
	if err != nil {
		return nil, asInput(t.Drawing, "", err)
	}
	lines, err := d.Lines(drawing.JoinSettings{Tolerance: defaultJoin, Layers: t.DrawingLayers})
	if err != nil {
		return nil, asInput(t.Drawing, "", err)
	}
	in.notes = append(in.notes, d.Notes...)
	var out []geom.Path
	for _, l := range lines {
		out = append(out, l.Path(pathTolerance))
	}
	return out, nil
}

// checkPaths notes paths that nothing can be laid along.
func (j *Job) checkPaths(key string, paths []geom.Path, r geom.Region) {
	if len(paths) > maxPaths {
		j.faults.add(key, fmt.Sprintf("there are %d paths", len(paths)), fmt.Sprintf("give up to %d, or let a straight or steered family lay them", maxPaths))
		return
	}
	box := r.Bounds()
	for i, p := range paths {
		inside := false
		for _, q := range p.Resample(1).Points {
			inside = inside || box.Contains(q) && r.Contains(q)
		}
		switch {
		case !(p.Length() > 0) || p.Length() > maxPathLength:
			j.faults.add(key, fmt.Sprintf("path %d is %.4g mm long", i+1, p.Length()), "draw it again")
		case !inside:
			j.faults.add(key, fmt.Sprintf("path %d, from (%.4g, %.4g), lies outside the part", i+1, p.Points[0].X, p.Points[0].Y), "draw it in the part's coordinates, in mm with y upwards")
		}
	}
}

// maxBundle bounds the strands of one rib.
const maxBundle = 100

// checkRibs notes what a family says about ribs and should not, or does not say.
func (t *FamilyTable) checkRibs(key string, l *faultList) {
	if t.Kind == "ribs" {
		if t.Pitch == 0 {
			l.add(key+".pitch", "is missing", "give the distance from rib to rib, such as \"20 mm\"")
		}
		l.within(key+".pitch", float64(t.Pitch), 0, maxExtent, "a distance such as \"20 mm\"")
		l.within(key+".bundle", float64(t.Bundle), 0, maxBundle, "1 to 100 strands")
		return
	}
	for _, k := range []struct {
		name  string
		given bool
	}{{"pitch", t.Pitch != 0}, {"bundle", t.Bundle != 0}, {"by_load", t.ByLoad}} {
		if k.given {
			l.add(key+"."+k.name, "does not go with "+t.Kind, "delete it, or make the family ribs")
		}
	}
}
