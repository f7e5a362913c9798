package drawing

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"

	"sinew/solid"
)

// Surface is what a solid's file gives: triangles in mm, not yet mended.
type Surface struct {
	solid.Mesh
	Unit  string   // of the file
	Notes []string // what was ignored
}

// Limits of solids' files: they bound memory and time.
const (
	maxTriangles  = 5_000_000
	stlHead       = 84 // bytes of header and count
	stlRecord     = 50 // bytes of a triangle
	maxLineLength = 4096
)

// ReadSTL reads a triangulated surface in STL, text or binary (3D Systems,
// StereoLithography Interface Specification, 1989). STL states no unit:
// Settings.Units must. Normals and attribute bytes are not read: the corners'
// order tells inside from outside.
func ReadSTL(data []byte, s Settings) (*Surface, error) {
	if s.Units == "" {
		return nil, &Error{What: "an STL file states no unit", Remedy: "say which with part.units = \"mm\", \"cm\", \"m\" or \"in\""}
	}
	scale, ok := unitLength(s.Units)
	if !ok {
		return nil, &Error{What: fmt.Sprintf("unit %q is not known", s.Units), Remedy: "give mm, cm, m or in"}
	}
	out := &Surface{Unit: s.Units}
	read := out.readBinarySTL
	if isTextSTL(data) {
		read = out.readTextSTL
	}
	if err := read(data, scale); err != nil {
		return nil, err
	}
	if len(out.Tris) == 0 {
		return nil, &Error{What: "the file holds no triangles", Remedy: "export the part again"}
	}
	return out, nil
}

// isTextSTL tells text from binary: binary files may start with "solid" too,
// but then their size fits the count they announce.
func isTextSTL(data []byte) bool {
	word := bytes.TrimLeft(data[:min(len(data), maxLineLength)], " \t\r\n")
	if len(word) < 5 || !bytes.EqualFold(word[:5], []byte("solid")) {
		return false
	}
	if len(data) < stlHead {
		return true
	}
	n := uint64(binary.LittleEndian.Uint32(data[80:]))
	return uint64(len(data)) != stlHead+stlRecord*n
}

func (d *Surface) readBinarySTL(data []byte, scale float64) error {
	if len(data) < stlHead {
		return &Error{What: fmt.Sprintf("%d bytes are too few for an STL file", len(data)), Remedy: "export the part again"}
	}
	n := uint64(binary.LittleEndian.Uint32(data[80:]))
	held := uint64(len(data)-stlHead) / stlRecord
	switch {
	case n > held:
		return &Error{Place: "byte 80", What: fmt.Sprintf("%d triangles are announced, but the file holds %d", n, held), Remedy: "the file is cut short or no STL: export the part again"}
	case n > maxTriangles:
		return tooManyTriangles("byte 80")
	}
	if rest := uint64(len(data)) - stlHead - stlRecord*n; rest > 0 {
		d.Notes = append(d.Notes, fmt.Sprintf("%d bytes after the last triangle were ignored", rest))
	}
	d.Points = make([]solid.Point, 0, 3*n)
	d.Tris = make([][3]int32, n)
	for t := range d.Tris {
		record := data[stlHead+stlRecord*t:]
		for k := range 3 {
			at := record[12+12*k:]
			p := solid.Point{X: scale * float32At(at), Y: scale * float32At(at[4:]), Z: scale * float32At(at[8:])}
			if !usable(p) {
				return badCorner(fmt.Sprintf("triangle %d", t+1), p)
			}
			d.Tris[t][k] = int32(len(d.Points))
			d.Points = append(d.Points, p)
		}
	}
	return nil
}

func float32At(b []byte) float64 {
	return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
}

// usable reports whether a corner has coordinates that a part can have.
func usable(p solid.Point) bool {
	return math.Abs(p.X) <= maxCoordinate && math.Abs(p.Y) <= maxCoordinate && math.Abs(p.Z) <= maxCoordinate
}

func badCorner(place string, p solid.Point) error {
	return &Error{Place: place, What: fmt.Sprintf("a corner at (%g, %g, %g) mm", p.X, p.Y, p.Z), Remedy: "check the unit, move the part near the origin, or export it again"}
}

func tooManyTriangles(place string) error {
	return &Error{Place: place, What: fmt.Sprintf("more than %d triangles", maxTriangles), Remedy: "export the part with a coarser tolerance"}
}

// stlText walks over the words of a text file.
type stlText struct {
	data []byte
	at   int
	line int
}

func (s *stlText) fail(what string) error {
	return &Error{Place: fmt.Sprintf("line %d", s.line), What: what, Remedy: "the file is damaged: export the part again"}
}

// word returns the next word, empty at the end.
func (s *stlText) word() []byte {
	for s.at < len(s.data) && s.data[s.at] <= ' ' {
		if s.data[s.at] == '\n' {
			s.line++
		}
		s.at++
	}
	start := s.at
	for s.at < len(s.data) && s.data[s.at] > ' ' {
		s.at++
	}
	return s.data[start:s.at]
}

// skipLine goes to the end of the line: names may hold anything.
func (s *stlText) skipLine() {
	if i := bytes.IndexByte(s.data[s.at:], '\n'); i >= 0 {
		s.at += i
	} else {
		s.at = len(s.data)
	}
}

// expect reads the given words.
func (s *stlText) expect(words ...string) error {
	for _, want := range words {
		if got := s.word(); !isWord(got, want) {
			return s.fail(fmt.Sprintf("%q stands where %q must", shortened(got), want))
		}
	}
	return nil
}

// isWord compares without regard to capitals; want is in small letters.
func isWord(got []byte, want string) bool {
	return string(got) == want || len(got) == len(want) && bytes.EqualFold(got, []byte(want))
}

// shortened keeps messages readable whatever a file holds.
func shortened(b []byte) string {
	const most = 40
	if len(b) > most {
		return string(b[:most]) + "…"
	}
	return string(b)
}

func (s *stlText) number() (float64, error) {
	w := s.word()
	v, err := strconv.ParseFloat(string(w), 64)
	if err != nil || !plainDecimal(w) {
		return 0, s.fail(fmt.Sprintf("%q is no number", shortened(w)))
	}
	return v, nil
}

// plainDecimal leaves out what Go reads and the formats do not know:
// hexadecimal, underscores, infinities and not-a-number.
func plainDecimal(w []byte) bool {
	for _, c := range w {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return false
		}
	}
	return len(w) > 0
}

func (d *Surface) readTextSTL(data []byte, scale float64) error {
	s := &stlText{data: data, line: 1}
	for {
		w := s.word()
		if len(w) == 0 {
			return nil
		}
		if !isWord(w, "solid") {
			return s.fail(fmt.Sprintf("%q stands where \"solid\" must", shortened(w)))
		}
		s.skipLine()
		if err := d.readTextSolid(s, scale); err != nil {
			return err
		}
	}
}

// readTextSolid reads triangles up to endsolid.
func (d *Surface) readTextSolid(s *stlText, scale float64) error {
	for {
		w := s.word()
		switch {
		case isWord(w, "endsolid"):
			s.skipLine()
			return nil
		case len(w) == 0:
			return s.fail("the file ends before \"endsolid\"")
		case !isWord(w, "facet"):
			return s.fail(fmt.Sprintf("%q stands where \"facet\" or \"endsolid\" must", shortened(w)))
		case len(d.Tris) == maxTriangles:
			return tooManyTriangles(fmt.Sprintf("line %d", s.line))
		}
		if err := d.readTextFacet(s, scale); err != nil {
			return err
		}
	}
}

func (d *Surface) readTextFacet(s *stlText, scale float64) error {
	if err := s.expect("normal"); err != nil {
		return err
	}
	for range 3 {
		s.word() // some writers put "nan" for a needle's normal
	}
	if err := s.expect("outer", "loop"); err != nil {
		return err
	}
	var t [3]int32
	for k := range 3 {
		if err := s.expect("vertex"); err != nil {
			return err
		}
		var v [3]float64
		for i := range v {
			x, err := s.number()
			if err != nil {
				return err
			}
			v[i] = scale * x
		}
		p := solid.Point{X: v[0], Y: v[1], Z: v[2]}
		if !usable(p) {
			return badCorner(fmt.Sprintf("line %d", s.line), p)
		}
		t[k] = int32(len(d.Points))
		d.Points = append(d.Points, p)
	}
	d.Tris = append(d.Tris, t)
	return s.expect("endloop", "endfacet")
}
