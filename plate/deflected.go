package plate

// deflected is an element of a plate that has deflected: what Follow needs of
// it at one state.
type deflected struct {
	f    [fullDofs]float64 // internal forces
	heat [fullDofs]float64 // forces of a unit of the case's temperatures
	k    full              // tangent
}

// slopes of a deflection at a point.
func (e *shaped) slopeOf(p int, w *[nodesPerTri]float64) (x, y float64) {
	for i, v := range w {
		x += e.slope[p][i][0] * v
		y += e.slope[p][i][1] * v
	}
	return x, y
}

// strainOver returns the strains at point p of displacements u of a plate whose
// nodes stand by w0 off the plane without strain:
//
//	ε = ε(u, v) + 1/2·∇(w+w0)∇(w+w0) - 1/2·∇w0∇w0
//
// von Kármán; Marguerre (1939) for w0. x and y are the slopes of w + w0.
func (e *shaped) strainOver(p int, u *[fullDofs]float64, w0 *[nodesPerTri]float64) (s [strains]float64, x, y float64) {
	var w [nodesPerTri]float64
	for i := range w {
		w[i] = u[dofsPerNode*i+dispW] + w0[i]
	}
	x, y = e.slopeOf(p, &w)
	x0, y0 := e.slopeOf(p, w0)
	s = e.strainAt(p, u)
	s[0] += (x*x - x0*x0) / 2
	s[1] += (y*y - y0*y0) / 2
	s[2] += x*y - x0*y0
	return s, x, y
}

// stateTo fills d for displacements u at a factor on
// temperatures.
func (e *shaped) stateTo(d *deflected, section *Section, t int, u *[fullDofs]float64, w0 *[nodesPerTri]float64, factor float64, warm *warmth) {
	*d = deflected{}
	var c [fullDofs]column
	for p := range PointsPerTri {
		point := t*PointsPerTri + p
		l := section.at(point)
		eps, x, y := e.strainOver(p, u, w0)
		r, h := l.resultant(&eps), warm.resultant(point)
		for i := range r {
			r[i] -= factor * h[i]
		}
		e.columnsTo(&c, p)
		e.bendColumns(&c, p, x, y)
		addColumns(&d.f, &c, &r, e.weight[p])
		addColumns(&d.heat, &c, &h, e.weight[p])
		d.k.add(&l, &c, e.weight[p])
		e.addTension(&d.k, p, &r)
		e.addBed(&d.f, p, pick(section.Foundation, point), u)
		e.addBedTangent(&d.k, p, pick(section.Foundation, point))
	}
}

// bendColumns adds to the columns of the deflections what a slope makes them
// stretch.
func (e *shaped) bendColumns(c *[fullDofs]column, p int, x, y float64) {
	for i := range nodesPerTri {
		g, w := e.slope[p][i], &c[dofsPerNode*i+dispW]
		w.n = maxEntries
		w.index[2], w.index[3], w.index[4] = 0, 1, 2
		w.value[2], w.value[3], w.value[4] = x*g[0], y*g[1], x*g[1]+y*g[0]
	}
}

// addTension adds the stiffness of forces in the plane against slopes.
func (e *shaped) addTension(k *full, p int, n *[strains]float64) {
	for i := range nodesPerTri {
		a := e.slope[p][i]
		for j := range i + 1 {
			b := e.slope[p][j]
			r, c := dofsPerNode*i+dispW, dofsPerNode*j+dispW
			k[r*(r+1)/2+c] += e.weight[p] * (a[0]*(n[0]*b[0]+n[2]*b[1]) + a[1]*(n[2]*b[0]+n[1]*b[1]))
		}
	}
}

func (e *shaped) addBedTangent(k *full, p int, stiff float64) {
	if stiff == 0 {
		return
	}
	n := &constants.points[p].n
	for i := range nodesPerTri {
		for j := range i + 1 {
			r, c := dofsPerNode*i+dispW, dofsPerNode*j+dispW
			k[r*(r+1)/2+c] += e.weight[p] * stiff * n[i] * n[j]
		}
	}
}
