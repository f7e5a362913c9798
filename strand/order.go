package strand

import (
	"slices"

	"sinew/geom"
)

// tourPasses bounds the improvement of a tour; it stops by itself when nothing
// shortens it any more, in practice after three to six passes.
const tourPasses = 30

// order returns the strands in printing order, turned where that shortens the
// way between them: nearest next, then improved by turning stretches of the
// tour round (2-opt: G. A. Croes, A method for solving traveling-salesman
// problems, Operations Research 6 (1958) 791–812).
//
// With back, the whole tour is run the other way, so that each strand of a
// layer is cut at the end at which the layer before began it.
func order(s []Strand, back bool) []Strand {
	tour := tourOf(s)
	if back {
		turnRound(tour)
	}
	out := make([]Strand, len(tour))
	for i, l := range tour {
		out[i] = s[l.strand]
		if l.turned {
			out[i] = out[i].reversed()
		}
	}
	return out
}

func tourOf(s []Strand) []leg {
	tour := greedyTour(s)
	for range tourPasses {
		if !improve(tour) {
			break
		}
	}
	return tour
}

// hurried reports whether neighbours, laid one after the other, get less time
// between them than the printer's card asks for: a strand takes its restart and
// its length at the highest feed, or longer.
func (m *layer) hurried(s []Strand) bool {
	length := 0.0
	for i := range s {
		length += s[i].Length()
	}
	return len(s) > 2 && m.limits.restart+length/float64(len(s))/m.limits.pace < m.limits.neighbours
}

// alternately returns the strands so that each second one of the shortest tour
// is laid first, then those between: neighbours lie half a layer's time apart,
// which is the most that one order gives all of them.
func alternately(s []Strand, back bool) []Strand {
	var half [2][]Strand
	for i, l := range tourOf(s) {
		half[i%2] = append(half[i%2], s[l.strand])
	}
	return append(order(half[0], back), order(half[1], back)...)
}

// leg is one strand of a tour, entered at from and left at to.
type leg struct {
	strand   int
	turned   bool
	from, to geom.Point
}

func (l leg) turn() leg { return leg{l.strand, !l.turned, l.to, l.from} }

func greedyTour(s []Strand) []leg {
	left := make([]leg, len(s))
	for i := range s {
		p := s[i].Points
		left[i] = leg{i, false, p[0], p[len(p)-1]}
	}
	if len(left) == 0 {
		return nil
	}
	tour := []leg{left[0]}
	left = left[1:]
	for len(left) > 0 {
		at := tour[len(tour)-1].to
		best, turned := 0, false
		dist := left[0].from.Dist(at)
		for i, l := range left {
			if d := l.from.Dist(at); d < dist {
				best, turned, dist = i, false, d
			}
			if d := l.to.Dist(at); d < dist && s[l.strand].turnable() {
				best, turned, dist = i, true, d
			}
		}
		next := left[best]
		if turned {
			next = next.turn()
		}
		tour = append(tour, next)
		left = slices.Delete(left, best, best+1)
	}
	return tour
}

// turnable reports whether turning the strand changes where it starts.
func (s *Strand) turnable() bool { return !s.Closed }

// worthTurning, mm, keeps rounding from turning stretches back and forth.
const worthTurning = 1e-6

// improve turns round each stretch whose turning shortens the way and reports
// whether there was one.
func improve(tour []leg) bool {
	changed := false
	for i := range tour {
		for j := i; j < len(tour); j++ {
			was, is := 0.0, 0.0
			if i > 0 {
				was += tour[i-1].to.Dist(tour[i].from)
				is += tour[i-1].to.Dist(tour[j].to)
			}
			if j+1 < len(tour) {
				was += tour[j].to.Dist(tour[j+1].from)
				is += tour[i].from.Dist(tour[j+1].from)
			}
			if is < was-worthTurning {
				turnRound(tour[i : j+1])
				changed = true
			}
		}
	}
	return changed
}

func turnRound(tour []leg) {
	slices.Reverse(tour)
	for i := range tour {
		tour[i] = tour[i].turn()
	}
}

// reversed returns the strand laid the other way. A closed one keeps its start
// place and its overlap.
func (s *Strand) reversed() Strand {
	r := *s
	r.Points, r.Width = slices.Clone(s.Points), slices.Clone(s.Width)
	if s.Closed {
		return r.reverseClosed(s)
	}
	slices.Reverse(r.Points)
	slices.Reverse(r.Width)
	r.Start, r.End = s.End, s.Start
	r.StartLoop, r.EndLoop = s.EndLoop, s.StartLoop
	return r
}

func (r Strand) reverseClosed(s *Strand) Strand {
	once := slices.Clone(s.Once())
	slices.Reverse(once)
	r.Points, r.Overlap = overlap(once, s.Overlap)
	width := slices.Clone(s.Width[:min(len(once), len(s.Width))])
	slices.Reverse(width)
	for i := len(once); i < len(r.Points) && len(width) > 0; i++ {
		width = append(width, width[i-len(once)+1])
	}
	r.Width = width
	return r
}
