package drawing

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
)

// numberEnd returns how many bytes at the start of text are a number.
func numberEnd(text string) int {
	i := 0
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		i++
	}
	digits, point := 0, false
	for ; i < len(text); i++ {
		if c := text[i]; c >= '0' && c <= '9' {
			digits++
		} else if c == '.' && !point {
			point = true
		} else {
			break
		}
	}
	if digits == 0 {
		return 0
	}
	if i < len(text) && (text[i] == 'e' || text[i] == 'E') {
		k := i + 1
		if k < len(text) && (text[k] == '+' || text[k] == '-') {
			k++
		}
		from := k
		for k < len(text) && text[k] >= '0' && text[k] <= '9' {
			k++
		}
		if k > from {
			return k
		}
	}
	return i
}

// scanner reads numbers that blanks, commas or nothing part.
type scanner struct{ text string }

func (s *scanner) skip() { s.text = strings.TrimLeft(s.text, " \t\r\n\f,") }

func (s *scanner) number() (float64, error) {
	s.skip()
	n := numberEnd(s.text)
	v := toNumber(s.text[:n])
	if n == 0 || !isFinite(v) {
		return 0, fmt.Errorf("%.20q stands where a number is wanted", s.text)
	}
	s.text = s.text[n:]
	return v, nil
}

// flag reads a single 0 or 1: files write "a1 1 0 011 2".
func (s *scanner) flag() (bool, error) {
	s.skip()
	if s.text == "" || s.text[0] != '0' && s.text[0] != '1' {
		return false, fmt.Errorf("%.20q stands where a flag of an arc is wanted", s.text)
	}
	v := s.text[0] == '1'
	s.text = s.text[1:]
	return v, nil
}

// more reports whether a number follows.
func (s *scanner) more() bool {
	s.skip()
	return numberEnd(s.text) > 0
}

// numbers reads a list of numbers.
func numbers(text string) ([]float64, error) {
	s := scanner{text}
	var list []float64
	for s.skip(); s.text != ""; s.skip() {
		v, err := s.number()
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	return list, nil
}

// parseTransform reads a list of transforms.
func parseTransform(text string) (affine, error) {
	m := identity()
	for rest := strings.TrimLeft(text, " \t\r\n,"); rest != ""; rest = strings.TrimLeft(rest, " \t\r\n,") {
		name, after, ok := strings.Cut(rest, "(")
		inner, next, ok2 := strings.Cut(after, ")")
		if !ok || !ok2 {
			return m, fmt.Errorf("a parenthesis is missing")
		}
		v, err := numbers(inner)
		if err != nil {
			return m, err
		}
		t, ok := oneTransform(strings.TrimSpace(name), v)
		if !ok {
			return m, fmt.Errorf("%.20q with %d numbers is unknown", name, len(v))
		}
		m = m.after(t)
		rest = next
	}
	if m.determinant() == 0 || !isFinite(m.a, m.b, m.c, m.d, m.e, m.f) {
		return m, fmt.Errorf("it leaves no area")
	}
	return m, nil
}

func oneTransform(name string, v []float64) (affine, bool) {
	const degree = math.Pi / 180
	switch n := len(v); {
	case name == "matrix" && n == 6:
		return affine{v[0], v[1], v[2], v[3], v[4], v[5]}, true
	case name == "translate" && n == 1:
		return shifting(v[0], 0), true
	case name == "translate" && n == 2:
		return shifting(v[0], v[1]), true
	case name == "scale" && n == 1:
		return scaling(v[0], v[0]), true
	case name == "scale" && n == 2:
		return scaling(v[0], v[1]), true
	case name == "rotate" && n == 1:
		return turning(v[0] * degree), true
	case name == "rotate" && n == 3:
		return shifting(v[1], v[2]).after(turning(v[0] * degree)).after(shifting(-v[1], -v[2])), true
	case name == "skewX" && n == 1:
		return affine{a: 1, c: math.Tan(v[0] * degree), d: 1}, true
	case name == "skewY" && n == 1:
		return affine{a: 1, b: math.Tan(v[0] * degree), d: 1}, true
	}
	return affine{}, false
}

// pathReader draws a path's commands.
type pathReader struct {
	*pen
	s    scanner
	last geom.Point // control point of the curve before, for smooth ones
	kind byte       // of the curve before: 'C', 'Q' or 0
}

// path draws path data (SVG 2, chapter 9.3).
func (p *pen) path(text string) error {
	r := pathReader{pen: p, s: scanner{text}}
	for first := true; ; first = false {
		r.s.skip()
		if r.s.text == "" {
			return nil
		}
		c := r.s.text[0]
		r.s.text = r.s.text[1:]
		if !strings.ContainsRune("MmLlHhVvCcSsQqTtAaZz", rune(c)) || first && c != 'M' && c != 'm' {
			return fmt.Errorf("path data has %q where a command is wanted", c)
		}
		if err := r.commands(c); err != nil {
			return fmt.Errorf("path data, command %c: %w", c, err)
		}
	}
}

// commands draws a command for each set of numbers that follows it.
func (r *pathReader) commands(c byte) error {
	if c == 'Z' || c == 'z' {
		r.close()
		r.kind = 0
		return nil
	}
	for again := false; !again || r.s.more(); again = true {
		if err := r.command(c, again); err != nil {
			return err
		}
		if len(r.edges) > maxPieces {
			return fmt.Errorf("it has more than %d pieces", maxPieces)
		}
	}
	return nil
}

func (r *pathReader) command(c byte, again bool) error {
	relative := c >= 'a'
	var base geom.Point
	if relative {
		base = r.at
	}
	switch c &^ 0x20 {
	case 'A':
		return r.arc(base)
	case 'H', 'V':
		v, err := r.s.number()
		if err != nil {
			return err
		}
		to := geom.Point{X: base.X + v, Y: r.at.Y}
		if c&^0x20 == 'V' {
			to = geom.Point{X: r.at.X, Y: base.Y + v}
		}
		r.line(to)
		r.kind = 0
		return nil
	}
	count := map[byte]int{'M': 1, 'L': 1, 'T': 1, 'S': 2, 'Q': 2, 'C': 3}[c&^0x20]
	var q [3]geom.Point
	for i := range count {
		x, err := r.s.number()
		if err != nil {
			return err
		}
		y, err := r.s.number()
		if err != nil {
			return err
		}
		q[i] = base.Add(geom.Point{X: x, Y: y})
	}
	r.points(c&^0x20, q, again)
	return nil
}

// points draws a command whose numbers are points.
func (r *pathReader) points(c byte, q [3]geom.Point, again bool) {
	switch c {
	case 'M':
		if again {
			r.line(q[0])
		} else {
			r.move(q[0])
		}
		r.kind = 0
	case 'L':
		r.line(q[0])
		r.kind = 0
	case 'C':
		r.cubic(q[0], q[1], q[2])
	case 'S':
		r.cubic(r.mirrored('C'), q[0], q[1])
	case 'Q':
		r.quadratic(q[0], q[1])
	case 'T':
		r.quadratic(r.mirrored('Q'), q[0])
	}
}

// mirrored returns the control point that continues the curve before.
func (r *pathReader) mirrored(kind byte) geom.Point {
	if r.kind != kind {
		return r.at
	}
	return r.at.Scale(2).Sub(r.last)
}

func (r *pathReader) cubic(b, c, d geom.Point) {
	a := r.at
	r.curve(func(t float64) geom.Point {
		s := 1 - t
		return a.Scale(s * s * s).Add(b.Scale(3 * s * s * t)).Add(c.Scale(3 * s * t * t)).Add(d.Scale(t * t * t))
	}, d)
	r.last, r.kind = c, 'C'
}

func (r *pathReader) quadratic(b, c geom.Point) {
	a := r.at
	r.curve(func(t float64) geom.Point {
		s := 1 - t
		return a.Scale(s * s).Add(b.Scale(2 * s * t)).Add(c.Scale(t * t))
	}, c)
	r.last, r.kind = b, 'Q'
}

// arc draws an elliptical arc from its end points (SVG 2, appendix B.2.4,
// conversion from endpoint to center parameterization).
func (r *pathReader) arc(base geom.Point) error {
	var v [3]float64
	var err error
	for i := range v {
		if v[i], err = r.s.number(); err != nil {
			return err
		}
	}
	large, err := r.s.flag()
	if err != nil {
		return err
	}
	forward, err := r.s.flag()
	if err != nil {
		return err
	}
	x, err := r.s.number()
	if err != nil {
		return err
	}
	y, err := r.s.number()
	if err != nil {
		return err
	}
	r.kind = 0
	r.ellipticalArc(math.Abs(v[0]), math.Abs(v[1]), v[2]*math.Pi/180, large, forward, base.Add(geom.Point{X: x, Y: y}))
	return nil
}

func (r *pathReader) ellipticalArc(rx, ry, turn float64, large, forward bool, to geom.Point) {
	if rx == 0 || ry == 0 || to == r.at {
		r.line(to)
		return
	}
	from := r.at
	rot := turning(-turn)
	d := rot.apply(from.Sub(to).Scale(0.5))
	u := geom.Point{X: d.X / rx, Y: d.Y / ry} // half chord on the unit circle
	over := u.Norm()
	if over > 1 { // too small to reach: enlarged just enough
		rx, ry = rx*over, ry*over
		u = u.Scale(1 / over)
		over = 1
	}
	// The centre lies across the half chord.
	h := math.Sqrt(math.Max(0, 1-over*over)) / over
	c := u.Left().Scale(h)
	if large != forward {
		c = c.Scale(-1)
	}
	a := u.Sub(c)
	b := u.Scale(-1).Sub(c)
	sweep := math.Atan2(a.Cross(b), a.Dot(b))
	if forward && sweep < 0 {
		sweep += 2 * math.Pi
	}
	if !forward && sweep > 0 {
		sweep -= 2 * math.Pi
	}
	mid := from.Lerp(to, 0.5)
	axes := shifting(mid.X, mid.Y).after(turning(turn)).after(scaling(rx, ry)).after(shifting(c.X, c.Y))
	n := len(r.edges)
	r.pen.ellipse(axes, math.Atan2(a.Y, a.X), sweep)
	r.at = to
	if len(r.edges) > n { // ends as written, not as computed
		r.edges[n].A, r.edges[len(r.edges)-1].B = r.m.apply(from), r.m.apply(to)
	}
}
