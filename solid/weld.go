package solid

import "math"

// weld gives equal corners one index, keeps the order of first use, and leaves
// out corners that no triangle uses. -0 equals 0.
func weld(m *Mesh) *Mesh {
	size := 16
	for size < 2*len(m.Points) {
		size *= 2
	}
	table := make([]int32, size) // index+1 into out.Points, open addressing
	index := make([]int32, len(m.Points))
	out := &Mesh{Points: make([]Point, 0, len(m.Points)/4), Tris: make([][3]int32, len(m.Tris))}
	for i, t := range m.Tris {
		for k, v := range t {
			if index[v] == 0 {
				p := m.Points[v]
				p = Point{p.X + 0, p.Y + 0, p.Z + 0} // -0 becomes 0
				at := hash(p) & uint64(size-1)
				for table[at] != 0 && out.Points[table[at]-1] != p {
					at = (at + 1) & uint64(size-1)
				}
				if table[at] == 0 {
					out.Points = append(out.Points, p)
					table[at] = int32(len(out.Points))
				}
				index[v] = table[at]
			}
			out.Tris[i][k] = index[v] - 1
		}
	}
	return out
}

// hash mixes the bits of a point (the finaliser of splitmix64: S. Vigna,
// public domain, 2015).
func hash(p Point) uint64 {
	h := uint64(0)
	for _, v := range [3]float64{p.X, p.Y, p.Z} {
		h = (h ^ math.Float64bits(v)) * 0x9e3779b97f4a7c15
		h ^= h >> 32
		h *= 0xbf58476d1ce4e5b9
		h ^= h >> 29
	}
	return h
}

// dropCollapsed leaves out triangles that use a corner twice.
func (d *mender) dropCollapsed() {
	d.drop("triangles without width dropped", func(t int) bool {
		c := d.mesh.Tris[t]
		return c[0] == c[1] || c[1] == c[2] || c[2] == c[0]
	})
}

// drop leaves out triangles and notes it.
func (d *mender) drop(what string, gone func(t int) bool) {
	kept := d.mesh.Tris[:0]
	n, at := 0, Point{}
	for t, tri := range d.mesh.Tris {
		if !gone(t) {
			kept = append(kept, tri)
			continue
		}
		if n == 0 {
			at = d.mesh.Points[tri[0]]
		}
		n++
	}
	d.mesh.Tris = kept
	d.note(what, n, at)
}
