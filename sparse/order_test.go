package sparse

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestScratchOrder(t *testing.T) {
	for _, n := range []int{50, 110, 250} {
		a, at := platesix(n, n)
		for _, coords := range [][][2]float64{at, nil} {
			t0 := time.Now()
			vertex, count := vertices(a)
			g := newGraph(a, vertex, count, coords)
			t1 := time.Now()
			order := dissect(g, 2, nil)
			t2 := time.Now()
			f := newForest(g, order)
			t3 := time.Now()
			nnz, flops := 0, 0.0
			for k, c := range f.count {
				w := int(g.weight[f.order[k]])
				for i := range w {
					l := int(c) - i
					nnz += l
					flops += float64(l) * float64(l)
				}
			}
			s := newFronts(g, f)
			t4 := time.Now()
			nnz2, work, up := 0, 0.0, 0.0
			for i := range s.pivots {
				nnz2 += int(s.pivots[i])*int(s.pivots[i]+1)/2 + int(s.pivots[i])*int(s.rows[i])
				work += frontWork(s.pivots[i], s.rows[i])
				up += float64(s.rows[i]) * float64(s.rows[i]) / 2
			}
			fmt.Fprintln(os.Stderr, a.N, count, "nnz", nnz, nnz2, "GF", flops/1e9, 2*work/1e9, "fronts", len(s.pivots), "upd M", up/1e6, "graph", t1.Sub(t0), "dissect", t2.Sub(t1), "tree", t3.Sub(t2), "fronts", t4.Sub(t3))
		}
	}
}

// platesix: a quarter plate with hole? simple square of six-node triangles
func platesix(nx, ny int) (*Symmetric, [][2]float64) {
	id := map[[2]int]int32{}
	var at [][2]float64
	node := func(x, y int) int32 {
		k, ok := id[[2]int{x, y}]
		if !ok {
			k = int32(len(id))
			id[[2]int{x, y}] = k
			at = append(at, [2]float64{float64(x), float64(y)}, [2]float64{float64(x), float64(y)})
		}
		return k
	}
	var groups [][]int32
	tri := func(p ...[2]int) {
		var g []int32
		for i, a := range p {
			b := p[(i+1)%3]
			for _, k := range []int32{node(a[0], a[1]), node((a[0]+b[0])/2, (a[1]+b[1])/2)} {
				g = append(g, 2*k, 2*k+1)
			}
		}
		groups = append(groups, g)
	}
	for y := 0; y < 2*ny; y += 2 {
		for x := 0; x < 2*nx; x += 2 {
			if (x/2+y/2)%2 == 0 {
				tri([2]int{x, y}, [2]int{x + 2, y}, [2]int{x + 2, y + 2})
				tri([2]int{x, y}, [2]int{x + 2, y + 2}, [2]int{x, y + 2})
			} else {
				tri([2]int{x, y}, [2]int{x + 2, y}, [2]int{x, y + 2})
				tri([2]int{x + 2, y}, [2]int{x + 2, y + 2}, [2]int{x, y + 2})
			}
		}
	}
	a := NewPattern(2*len(id), groups)
	return a, at
}
