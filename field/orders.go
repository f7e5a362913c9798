package field

import (
	"fmt"
	"math"
	"slices"
)

// OrderSettings steers FindOrder.
type OrderSettings struct {
	// Unsymmetric lets any two layers change places; by default the stack stays
	// symmetric.
	Unsymmetric bool
	// Worth is what an order, the family of each layer bottom to top, is judged
	// by: lower is better.
	Worth func(order []int) (float64, error)
	Stop  func() bool // nil: never
}

// Ordered is the order found.
type Ordered struct {
	Order   []int
	Tried   int       // orders judged
	Worth   []float64 // of the start and after each exchange; layers of a kind beside each other count
	Stopped bool
}

// blockCost is what each pair of neighbours of one family adds to the worth of
// an order: where 0.3 % of the reserve a pair do not speak for a block of like
// layers, they are kept apart, since blocks crack and come off as one.
const blockCost = 0.003

// FindOrder looks for the best order of so many layers of each family. It
// starts from the one of StackUp and makes the exchange of two layers, and of
// those that mirror them, that helps most, until none does.
func FindOrder(counts []int, s OrderSettings) (*Ordered, error) {
	if s.Stop == nil {
		s.Stop = func() bool { return false }
	}
	start, _ := StackUp(counts)
	out := &Ordered{Order: start}
	seen := map[string]float64{}
	worth := func(order []int) (float64, error) {
		key := fmt.Sprint(order)
		if v, ok := seen[key]; ok {
			return v, nil
		}
		v, err := s.Worth(order)
		if err != nil {
			return 0, err
		}
		for k := range order[1:] {
			if order[k] == order[k+1] {
				v += blockCost
			}
		}
		seen[key] = v
		out.Tried++
		return v, nil
	}
	now, err := worth(out.Order)
	if err != nil {
		return nil, err
	}
	out.Worth = []float64{now}
	for {
		best, at := math.Inf(1), []int(nil)
		for _, order := range exchanged(out.Order, counts, s.Unsymmetric) {
			if out.Stopped = s.Stop(); out.Stopped {
				break
			}
			v, err := worth(order)
			if err != nil {
				return nil, err
			}
			if v < best {
				best, at = v, order
			}
		}
		if best >= now-mixGain {
			return out, nil
		}
		now, out.Order = best, at
		if out.Worth = append(out.Worth, now); out.Stopped {
			return out, nil
		}
	}
}

// exchanged lists the orders that one exchange of two layers away from an order
// lie. A symmetric one moves the lower half and mirrors it; layers of which
// there is an odd number stay in the middle.
func exchanged(order, counts []int, unsymmetric bool) [][]int {
	n := len(order)
	if !unsymmetric {
		n = 0
		for _, c := range counts {
			n += c / 2
		}
	}
	var out [][]int
	for i := range n {
		for j := i + 1; j < n; j++ {
			if order[i] == order[j] {
				continue
			}
			next := slices.Clone(order)
			next[i], next[j] = next[j], next[i]
			if !unsymmetric {
				m := len(order) - 1
				next[m-i], next[m-j] = next[m-j], next[m-i]
			}
			out = append(out, next)
		}
	}
	return out
}

// Restack puts the layers into another order of the same families.
func (l *Layup) Restack(order []int) {
	l.Layers = layersOf(order, len(l.Families), true)
	l.unshiftDrawn()
}
