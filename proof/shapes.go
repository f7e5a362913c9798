package proof

import (
	"fmt"

	"sinew/plate"
)

// ShapeKind is a way in which a design stands as a plate.
type ShapeKind int

// The kinds of shape.
const (
	Deflected ShapeKind = iota // under a case
	Buckled                    // the modes in which a case makes it buckle
	Swinging                   // the modes in which it swings on its supports
	Warped                     // free of the bed, cooled
)

// Shape is one of them: how each node moves.
type Shape struct {
	U [][3]float64 // along x, y, z: mm, or of a mode the greatest 1
	// Value is the factor on the required load, or the frequency in Hz; 0 of
	// what is no mode.
	Value float64
}

type shapeKey struct {
	kind     ShapeKind
	loadCase int
}

// Shapes returns the shapes of a kind, of modes as many as the settings of the
// plate ask for. They are worked out when first asked for.
func (e *Examination) Shapes(kind ShapeKind, loadCase int) ([]Shape, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if kind == Swinging || kind == Warped {
		loadCase = -1
	}
	key := shapeKey{kind, loadCase}
	if known, ok := e.shapes[key]; ok {
		return known, nil
	}
	list, err := e.shapesOf(kind, loadCase)
	if err != nil {
		return nil, fmt.Errorf("shape of a plate: %w", err)
	}
	e.shapes[key] = list
	return list, nil
}

func (e *Examination) shapesOf(kind ShapeKind, loadCase int) ([]Shape, error) {
	p := e.prover
	if kind == Warped {
		b, err := p.cool(e.plies)
		if err != nil {
			return nil, err
		}
		return []Shape{{U: plate.Moves(b.solution.Cases[0].D)}}, nil
	}
	if e.flat == nil {
		e.flat = e.bent
	}
	if e.flat == nil {
		var err error
		if e.flat, err = p.bend(e.plies); err != nil {
			return nil, err
		}
	}
	b := e.flat
	if kind == Deflected {
		return []Shape{{U: plate.Moves(b.solution.Cases[loadCase].D)}}, nil
	}
	var modes []plate.Mode
	var err error
	if kind == Buckled {
		modes, err = p.buckling(b, loadCase)
	} else {
		modes, err = p.frequencies(b)
	}
	if err != nil {
		return nil, err
	}
	var list []Shape
	for _, m := range modes {
		list = append(list, Shape{plate.Moves(m.D), m.Value})
	}
	return list, nil
}
