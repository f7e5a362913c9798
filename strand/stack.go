package strand

import (
	"fmt"
	"math"
)

// stackTolerance is by how much the stack may miss the part's thickness, mm: a
// sixtieth of a layer, less than beds and nozzles are set to.
const stackTolerance = 0.005

// stack returns the empty layers with their heights, or an error that names
// the nearest thicknesses which whole layers reach.
func stack(composite int, lim limits, s Settings) ([]Layer, error) {
	total := float64(composite)*lim.composite + float64(s.Bottom+s.Top)*lim.plastic
	if s.Thickness > 0 && math.Abs(total-s.Thickness) > stackTolerance {
		return nil, thicknessError(composite, lim, s, total)
	}
	var out []Layer
	z := 0.0
	add := func(k int, kind LayerKind, height float64) {
		z += height
		out = append(out, Layer{Index: len(out), Composite: k, Kind: kind, Z: z, Height: height, Family: -1})
	}
	for range s.Bottom {
		add(-1, Plastic, lim.plastic)
	}
	for k := range composite {
		add(k, Composite, lim.composite)
	}
	for range s.Top {
		add(-1, Plastic, lim.plastic)
	}
	return out, nil
}

func thicknessError(composite int, lim limits, s Settings, total float64) error {
	covers := float64(s.Bottom+s.Top) * lim.plastic
	n := math.Floor((s.Thickness - covers + stackTolerance) / lim.composite)
	low := covers + math.Max(0, n)*lim.composite
	return fmt.Errorf("the stack of %d composite layers of %.3g mm and %d covers of %.3g mm is %.4g mm thick, the part %.4g mm; "+
		"with these covers the nearest thicknesses are %.4g mm (%.0f composite layers) and %.4g mm (%.0f): change the thickness, the layers or the covers",
		composite, lim.composite, s.Bottom+s.Top, lim.plastic, total, s.Thickness,
		low, math.Max(0, n), low+lim.composite, math.Max(0, n)+1)
}
