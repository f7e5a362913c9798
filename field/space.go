package field

import (
	"math"

	"sinew/geom"
	"sinew/mesh"
	"sinew/sparse"
)

// gauss are the integration points of an element and, with weight 1/3 each,
// exact for quadratics: the rule of package stress, in its order.
var gauss = [3][3]float64{{2. / 3, 1. / 6, 1. / 6}, {1. / 6, 2. / 3, 1. / 6}, {1. / 6, 1. / 6, 2. / 3}}

// perTri is the number of integration points of an element.
const perTri = 3

// space is the quadratic functions on a mesh, with what integration needs.
type space struct {
	m      *mesh.Mesh
	grad   [][6]geom.Point // of the shape functions, at each integration point
	weight []float64       // area of each integration point
	at     []geom.Point
	shape  [perTri][6]float64
}

func newSpace(m *mesh.Mesh) *space {
	n := perTri * len(m.Tris)
	s := &space{m: m, grad: make([][6]geom.Point, n), weight: make([]float64, n), at: make([]geom.Point, n)}
	for k, b := range gauss {
		s.shape[k] = mesh.Shape(b)
	}
	for t := range m.Tris {
		for k, b := range gauss {
			p := perTri*t + k
			g, det := m.Gradient(t, b)
			s.grad[p], s.weight[p], s.at[p] = g, det/6, m.At(t, b)
		}
	}
	return s
}

// gradients returns the gradient of a nodal field at the integration points.
func (s *space) gradients(phase []float64) []geom.Point {
	out := make([]geom.Point, len(s.weight))
	for p := range out {
		for i, n := range s.m.Tris[p/perTri] {
			out[p].X += s.grad[p][i].X * phase[n]
			out[p].Y += s.grad[p][i].Y * phase[n]
		}
	}
	return out
}

// values returns a nodal field at the integration points.
func (s *space) values(nodal []float64) []float64 {
	out := make([]float64, len(s.weight))
	for p := range out {
		out[p] = s.valueAt(p, nodal)
	}
	return out
}

// length is the integral of the gradient's size: the fibre length of a layer.
func (s *space) length(g []geom.Point) float64 {
	sum := 0.0
	for p, v := range g {
		sum += s.weight[p] * v.Norm()
	}
	return sum
}

func (s *space) area() float64 {
	sum := 0.0
	for _, w := range s.weight {
		sum += w
	}
	return sum
}

// unknowns maps nodes to unknowns: the nodes of a tied stretch share one, and
// some are fixed.
type unknowns struct {
	n     int
	of    []int32   // per node: unknown, or -1 where fixed
	value []float64 // per node, of fixed ones
}

// freely gives each node its own unknown.
func (s *space) freely() *unknowns {
	u := &unknowns{n: len(s.m.Nodes), of: make([]int32, len(s.m.Nodes)), value: make([]float64, len(s.m.Nodes))}
	for i := range u.of {
		u.of[i] = int32(i)
	}
	return u
}

// tied gives the nodes of each group one unknown, or fixes them where fixed
// holds a number for the group (NaN: none). Where nothing is fixed, the first
// group is, or else the first node, at zero: a phase has no absolute value.
func (s *space) tied(groups [][]int32, fixed []float64) *unknowns {
	u := &unknowns{of: make([]int32, len(s.m.Nodes)), value: make([]float64, len(s.m.Nodes))}
	const unset = -2
	for i := range u.of {
		u.of[i] = unset
	}
	anyFixed := false
	for g, group := range groups {
		k := int32(-1)
		v := 0.0
		if fixed != nil && !math.IsNaN(fixed[g]) {
			v, anyFixed = fixed[g], true
		} else if fixed == nil && g == 0 {
			anyFixed = true
		} else {
			k = int32(u.n)
			u.n++
		}
		for _, n := range group {
			u.of[n], u.value[n] = k, v
		}
	}
	for i := range u.of {
		if u.of[i] != unset {
			continue
		}
		if !anyFixed {
			u.of[i], anyFixed = -1, true
			continue
		}
		u.of[i] = int32(u.n)
		u.n++
	}
	return u
}

// problem is a symmetric positive definite system on a space: its pattern is
// analysed once and its values change.
type problem struct {
	s      *space
	u      *unknowns
	a      *sparse.Symmetric
	place  []int32 // per element, 21 entries of its lower triangle: index into a.Val, -1 where a fixed node is met
	sym    *sparse.Symbolic
	cancel func() bool
	fac    *sparse.Factor
	rhs    []float64
}

// entries is the number of entries of the lower triangle of an element.
const entries = 21

func newProblem(s *space, u *unknowns, workers int, cancel func() bool) (*problem, error) {
	groups := make([][]int32, len(s.m.Tris))
	for t, tri := range s.m.Tris {
		for _, n := range tri {
			if k := u.of[n]; k >= 0 {
				groups[t] = append(groups[t], k)
			}
		}
	}
	p := &problem{s: s, u: u, a: sparse.NewPattern(u.n, groups), rhs: make([]float64, u.n), cancel: cancel}
	p.place = make([]int32, 0, entries*len(s.m.Tris))
	for _, tri := range s.m.Tris {
		for i := range 6 {
			for j := 0; j <= i; j++ {
				a, b := u.of[tri[i]], u.of[tri[j]]
				if a < 0 || b < 0 {
					p.place = append(p.place, -1)
					continue
				}
				p.place = append(p.place, int32(p.a.Index(int(max(a, b)), int(min(a, b)))))
			}
		}
	}
	coords := make([][2]float64, u.n)
	for i, k := range u.of {
		if k >= 0 {
			coords[k] = [2]float64{s.m.Nodes[i].X, s.m.Nodes[i].Y}
		}
	}
	var err error
	p.sym, err = sparse.Analyze(p.a, sparse.Settings{Coords: coords, Workers: workers, Cancel: cancel})
	return p, err
}

// twin is a problem of the same pattern for so many workers; it shares all but
// the values.
func (p *problem) twin(workers int) *problem {
	out := *p
	out.a, out.fac, out.rhs = p.a.Twin(), nil, make([]float64, p.u.n)
	out.sym = p.sym.For(workers, p.cancel)
	return &out
}

// tensor is a symmetric 2×2 matrix: xx, xy, yy.
type tensor [3]float64

// assemble sets the matrix of
//
//	∫ ∇u·D·∇v + m·u·v
//
// with D given per integration point (weights of area apart) and mass m, and
// the right side ∫ ∇v·flux, fixed values moved over.
func (p *problem) assemble(d func(point int) tensor, mass float64, flux []geom.Point) {
	clear(p.a.Val)
	clear(p.rhs)
	var ke [6][6]float64
	for t, tri := range p.s.m.Tris {
		ke = [6][6]float64{}
		for k := range perTri {
			q := perTri*t + k
			w := p.s.weight[q]
			g, n, c := &p.s.grad[q], &p.s.shape[k], d(q)
			for i := range 6 {
				x, y := c[0]*g[i].X+c[1]*g[i].Y, c[1]*g[i].X+c[2]*g[i].Y
				for j := 0; j <= i; j++ {
					ke[i][j] += w * (x*g[j].X + y*g[j].Y + mass*n[i]*n[j])
				}
				if flux != nil {
					if r := p.u.of[tri[i]]; r >= 0 {
						p.rhs[r] += w * g[i].Dot(flux[q])
					}
				}
			}
		}
		p.scatter(t, &ke)
	}
}

func (p *problem) scatter(t int, ke *[6][6]float64) {
	tri := &p.s.m.Tris[t]
	e := entries * t
	for i := range 6 {
		for j := 0; j <= i; j++ {
			v := ke[i][j]
			a, b := p.u.of[tri[i]], p.u.of[tri[j]]
			switch {
			case a >= 0 && b >= 0:
				// Two nodes of one unknown meet twice: (i, j) and (j, i).
				if a == b && i != j {
					v *= 2
				}
				p.a.Val[p.place[e]] += v
			case a >= 0:
				p.rhs[a] -= v * p.u.value[tri[j]]
			case b >= 0:
				p.rhs[b] -= v * p.u.value[tri[i]]
			}
			e++
		}
	}
}

// factorize prepares solving with the present values.
func (p *problem) factorize() (err error) {
	if p.fac == nil {
		p.fac, err = p.sym.Factorize(p.a)
		return err
	}
	return p.fac.Refactorize(p.a)
}

// solve factorises, solves for the right side and returns nodal values.
func (p *problem) solve() ([]float64, error) {
	if err := p.factorize(); err != nil {
		return nil, err
	}
	p.fac.Solve(p.rhs, 1)
	return p.spread(p.rhs), nil
}

// spread returns the nodal values of the unknowns.
func (p *problem) spread(x []float64) []float64 {
	out := make([]float64, len(p.u.of))
	for i, k := range p.u.of {
		if k >= 0 {
			out[i] = x[k]
		} else {
			out[i] = p.u.value[i]
		}
	}
	return out
}
