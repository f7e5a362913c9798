package sparse

// reach gives the vertices of a graph without coordinates a place: differences
// of their distances, in edges, from two pairs of vertices far apart. Level
// sets of such a difference cut the graph where it is about half way between
// the two.
type reach struct {
	queue []int32
	dist  [4][]int32
}

// place fills the coordinates of the part.
func (r *reach) place(p view) {
	n := p.len()
	r.queue = resize(r.queue, n)
	for i := range r.dist {
		r.dist[i] = resize(r.dist[i], n)
	}
	far := r.measure(p, 0, r.dist[0])
	far = r.measure(p, far, r.dist[0])
	r.measure(p, far, r.dist[1])
	far = 0
	for v := range int32(n) {
		if min(r.dist[0][v], r.dist[1][v]) > min(r.dist[0][far], r.dist[1][far]) {
			far = v
		}
	}
	far = r.measure(p, far, r.dist[2])
	r.measure(p, far, r.dist[3])
	for v := range n {
		p.x[v] = float64(r.dist[0][v] - r.dist[1][v])
		p.y[v] = float64(r.dist[2][v] - r.dist[3][v])
	}
}

// measure sets the distances from a vertex and returns the vertex farthest
// from it. What cannot be reached is farther than all the rest.
func (r *reach) measure(p view, from int32, dist []int32) int32 {
	for v := range dist {
		dist[v] = -1
	}
	dist[from] = 0
	queue := append(r.queue[:0], from)
	for k := 0; k < len(queue); k++ {
		v := queue[k]
		for _, u := range p.neighbours(v) {
			if dist[u] < 0 {
				dist[u] = dist[v] + 1
				queue = append(queue, u)
			}
		}
	}
	far := queue[len(queue)-1]
	if len(queue) == len(dist) {
		return far
	}
	beyond := dist[far] + 2
	for v := range dist {
		if dist[v] < 0 {
			dist[v] = beyond
			far = int32(v)
		}
	}
	return far
}
