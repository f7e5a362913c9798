package plate

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"math"
	"strings"
	"testing"

	"sinew/geom"
)

// vtkFile is what a reader of VTK files sees of one.
type vtkFile struct {
	Type   string `xml:"type,attr"`
	Header string `xml:"header_type,attr"`
	Piece  struct {
		Points    int        `xml:"NumberOfPoints,attr"`
		Cells     int        `xml:"NumberOfCells,attr"`
		PointData []vtkArray `xml:"PointData>DataArray"`
		CellData  []vtkArray `xml:"CellData>DataArray"`
		Places    []vtkArray `xml:"Points>DataArray"`
		Topology  []vtkArray `xml:"Cells>DataArray"`
	} `xml:"UnstructuredGrid>Piece"`
	Appended string `xml:"AppendedData"`
}

type vtkArray struct {
	Type       string `xml:"type,attr"`
	Name       string `xml:"Name,attr"`
	Components int    `xml:"NumberOfComponents,attr"`
	Offset     int    `xml:"offset,attr"`
}

// read decodes an array from the appended data by its offset and own length.
func (f *vtkFile) read(t *testing.T, a vtkArray) []byte {
	t.Helper()
	text := strings.TrimSpace(f.Appended)[1:][a.Offset:]
	head, err := base64.StdEncoding.DecodeString(text[:12]) // nine bytes hold the length
	if err != nil {
		t.Fatal(err)
	}
	n := int(binary.LittleEndian.Uint64(head))
	all, err := base64.StdEncoding.DecodeString(text[:base64.StdEncoding.EncodedLen(8+n)])
	if err != nil {
		t.Fatalf("%s: %v", a.Name, err)
	}
	return all[8:]
}

func (f *vtkFile) doubles(t *testing.T, a vtkArray) []float64 {
	t.Helper()
	data := f.read(t, a)
	out := make([]float64, len(data)/8)
	for i := range out {
		out[i] = math.Float64frombits(binary.LittleEndian.Uint64(data[8*i:]))
	}
	return out
}

func (f *vtkFile) singles(t *testing.T, a vtkArray) []float32 {
	t.Helper()
	data := f.read(t, a)
	out := make([]float32, len(data)/4)
	for i := range out {
		out[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[4*i:]))
	}
	return out
}

// What is written reads back to the bit: mesh, names, values.
func TestVTUReadsBack(t *testing.T) {
	m, p := lug(t, 10)
	p.Cases[0].Bending.Pressure = 0.1
	l := coupled(t, 2, 0, 90)
	s := newSystem(t, m, p, Settings{})
	section := FromLaminate(l)
	c := &solve(t, s, section).Cases[0]
	nodes, elements := s.Fields(c, &section, StackOf(l), `case "pull" & <lift>: `)
	var out bytes.Buffer
	if err := WriteVTU(&out, m, nodes, elements); err != nil {
		t.Fatal(err)
	}
	var f vtkFile
	if err := xml.Unmarshal(out.Bytes(), &f); err != nil {
		t.Fatal(err)
	}
	if f.Type != "UnstructuredGrid" || f.Header != "UInt64" || f.Piece.Points != len(m.Nodes) || f.Piece.Cells != len(m.Tris) {
		t.Fatalf("head %q %q, %d points, %d cells", f.Type, f.Header, f.Piece.Points, f.Piece.Cells)
	}
	if len(f.Piece.PointData) != len(nodes) || len(nodes) != 5+2*2 || len(f.Piece.CellData) != 1 {
		t.Fatalf("%d and %d fields", len(f.Piece.PointData), len(f.Piece.CellData))
	}
	check := func(a vtkArray, want Field) {
		got := f.singles(t, a)
		if a.Name != want.Name || a.Components != want.Components || len(got) != len(want.Values) {
			t.Fatalf("%q of %d by %d, want %q of %d by %d", a.Name, len(got), a.Components, want.Name, len(want.Values), want.Components)
		}
		for i := range got {
			if got[i] != float32(want.Values[i]) {
				t.Fatalf("%s: value %d is %g, want %g", a.Name, i, got[i], want.Values[i])
			}
		}
	}
	for i, a := range f.Piece.PointData {
		check(a, nodes[i])
	}
	check(f.Piece.CellData[0], elements[0])
	at := f.doubles(t, f.Piece.Places[0])
	for n, p := range m.Nodes {
		if (geom.Point{X: at[3*n], Y: at[3*n+1]}) != p || at[3*n+2] != 0 {
			t.Fatalf("node %d is at %g", n, at[3*n:3*n+3])
		}
	}
	links, ends, kinds := f.read(t, f.Piece.Topology[0]), f.read(t, f.Piece.Topology[1]), f.read(t, f.Piece.Topology[2])
	for i, tri := range m.Tris {
		for k, n := range tri {
			if got := binary.LittleEndian.Uint64(links[8*(6*i+k):]); got != uint64(n) {
				t.Fatalf("element %d node %d is %d, want %d", i, k, got, n)
			}
		}
		if end := binary.LittleEndian.Uint64(ends[8*i:]); end != uint64(6*i+6) || kinds[i] != 22 {
			t.Fatalf("element %d ends at %d, kind %d", i, end, kinds[i])
		}
	}
}

type fullDisk struct{}

var errFull = errors.New("no space left")

func (fullDisk) Write([]byte) (int, error) { return 0, errFull }

func TestVTURefuses(t *testing.T) {
	m := rectangle(2, 2, 1, 1)
	if err := WriteVTU(&bytes.Buffer{}, m, []Field{{Name: "w", Components: 1, Values: make([]float64, 3)}}, nil); err == nil || !strings.Contains(err.Error(), `"w"`) {
		t.Errorf("a short field: %v", err)
	}
	big := rectangle(40, 40, 1, 1)
	if err := WriteVTU(fullDisk{}, big, nil, nil); !errors.Is(err, errFull) {
		t.Errorf("a full disk: %v", err)
	}
}
