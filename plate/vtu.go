package plate

import (
	"bufio"
	"encoding/base64"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"io"
	"math"

	"sinew/mesh"
)

// Field is a quantity on a mesh: Components values for each node or element,
// one after the other.
type Field struct {
	Name       string
	Components int
	Values     []float64
}

// Vectors returns the field of fixed-size entries.
func Vectors[V ~[2]float64 | ~[3]float64](name string, values []V) Field {
	f := Field{Name: name, Components: len(*new(V))}
	for _, v := range values {
		for k := range f.Components {
			f.Values = append(f.Values, v[k])
		}
	}
	return f
}

// vtkQuadraticTriangle is the VTK number of the six-node triangle, whose node
// order is that of package mesh.
const vtkQuadraticTriangle = 22

// WriteVTU writes a mesh with fields on its nodes and elements as a VTK
// unstructured grid (XML, version 1.0, values appended in base64, little
// endian; places in double, fields in single precision): VTK File Formats.
func WriteVTU(w io.Writer, m *mesh.Mesh, nodes, elements []Field) error {
	v := &vtuWriter{w: bufio.NewWriter(w)}
	for i, list := range [2][]Field{nodes, elements} {
		for _, f := range list {
			if want := f.Components * [2]int{len(m.Nodes), len(m.Tris)}[i]; len(f.Values) != want || f.Components < 1 {
				return fmt.Errorf("field %q has %d values, want %d", f.Name, len(f.Values), want)
			}
		}
	}
	v.text("<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\" version=\"1.0\" byte_order=\"LittleEndian\" header_type=\"UInt64\">\n<UnstructuredGrid>\n")
	v.text(fmt.Sprintf("<Piece NumberOfPoints=\"%d\" NumberOfCells=\"%d\">\n", len(m.Nodes), len(m.Tris)))
	v.fields("PointData", nodes)
	v.fields("CellData", elements)
	v.text("<Points>\n")
	v.array("Float64", "Points", 3, places(m))
	v.text("</Points>\n<Cells>\n")
	v.array("Int64", "connectivity", 1, connectivity(m))
	v.array("Int64", "offsets", 1, offsets(m))
	v.array("UInt8", "types", 1, types(m))
	v.text("</Cells>\n</Piece>\n</UnstructuredGrid>\n<AppendedData encoding=\"base64\">\n_")
	for _, block := range v.blocks {
		v.text(block)
	}
	v.text("\n</AppendedData>\n</VTKFile>\n")
	if v.err == nil {
		v.err = v.w.Flush()
	}
	return v.err
}

type vtuWriter struct {
	w      *bufio.Writer
	blocks []string
	offset int
	err    error
}

func (v *vtuWriter) text(s string) {
	if v.err == nil {
		_, v.err = v.w.WriteString(s)
	}
}

func (v *vtuWriter) fields(group string, list []Field) {
	v.text("<" + group + ">\n")
	for _, f := range list {
		v.array("Float32", f.Name, f.Components, singles(f.Values))
	}
	v.text("</" + group + ">\n")
}

// array announces data that is appended later, the number of its bytes before
// it as eight bytes, both in one base64.
func (v *vtuWriter) array(kind, name string, components int, data []byte) {
	v.text(fmt.Sprintf("<DataArray type=%q Name=\"", kind))
	if v.err == nil {
		v.err = xml.EscapeText(v.w, []byte(name))
	}
	v.text(fmt.Sprintf("\" NumberOfComponents=\"%d\" format=\"appended\" offset=\"%d\"/>\n", components, v.offset))
	head := binary.LittleEndian.AppendUint64(nil, uint64(len(data)))
	block := base64.StdEncoding.EncodeToString(append(head, data...))
	v.blocks = append(v.blocks, block)
	v.offset += len(block)
}

func singles(list []float64) []byte {
	out := make([]byte, 0, 4*len(list))
	for _, x := range list {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(x)))
	}
	return out
}

func doubles(list []float64) []byte {
	out := make([]byte, 0, 8*len(list))
	for _, x := range list {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(x))
	}
	return out
}

func places(m *mesh.Mesh) []byte {
	list := make([]float64, 0, 3*len(m.Nodes))
	for _, p := range m.Nodes {
		list = append(list, p.X, p.Y, 0)
	}
	return doubles(list)
}

func connectivity(m *mesh.Mesh) (out []byte) {
	for _, tri := range m.Tris {
		for _, n := range tri {
			out = binary.LittleEndian.AppendUint64(out, uint64(n))
		}
	}
	return out
}

func offsets(m *mesh.Mesh) (out []byte) {
	for t := range m.Tris {
		out = binary.LittleEndian.AppendUint64(out, uint64(nodesPerTri*(t+1)))
	}
	return out
}

func types(m *mesh.Mesh) []byte {
	out := make([]byte, len(m.Tris))
	for i := range out {
		out[i] = vtkQuadraticTriangle
	}
	return out
}

// Fields returns all that is known of a case at the nodes, names starting with
// prefix: displacement, tilt, forces, moments and shear forces per width, and
// of each layer of the stack (nil: none) the stress at its bottom and top, linear between; and
// on the elements the estimated error.
func (s *System) Fields(c *CaseSolution, section *Section, stack *Stack, prefix string) (nodes, elements []Field) {
	n := len(s.elements.mesh.Nodes)
	move, tilt := make([][3]float64, n), make([][2]float64, n)
	for i := range move {
		move[i] = [3]float64(c.D[dofsPerNode*i:])
		tilt[i] = [2]float64(c.D[dofsPerNode*i+tiltX:])
	}
	nodes = append(nodes, Vectors(prefix+"displacement, mm", move), Vectors(prefix+"tilt, rad", tilt))
	for k, name := range [3]string{"forces N 11 22 12, N/mm", "moments M 11 22 12, N", "shear forces Q xz yz, N/mm"} {
		part := make([][3]float64, len(c.Strain))
		for p, r := range s.Resultants(c, section) {
			copy(part[p][:], r[3*k:min(3*k+3, strains)])
		}
		nodes = append(nodes, Vectors(prefix+name, s.Nodal(part)))
	}
	if stack != nil {
		for i := range stack.Layers {
			y := &stack.Layers[i]
			for _, at := range [2]Height{AtBottom, AtTop} { // linear between
				nodes = append(nodes, Vectors(fmt.Sprintf("%s%s %s: stress 11 22 12, MPa", prefix, y.Name, at), s.Nodal(s.LayerStress(c, y, at))))
			}
		}
	}
	e := s.Estimate(c, section)
	return nodes, []Field{{Name: prefix + "error estimate, √(N mm)", Components: 1, Values: e.Elements}}
}
