package main

import (
	"fmt"
	"io"
	"strings"

	"sinew/job"
)

// plateLines prints what is known of the part as a plate that bends.
func plateLines(w io.Writer, p *job.PlateRecord) {
	for _, c := range p.Cases {
		var words []string
		if c.Bends {
			words = append(words, fmt.Sprintf("deflects %.3g mm at (%.1f, %.1f)", c.DeflectionMM, c.X, c.Y))
		}
		if len(c.Buckling) > 0 {
			words = append(words, "buckles at "+numbers(c.Buckling)+" times the required load")
		}
		if len(words) > 0 {
			fmt.Fprintf(w, "as a plate, %s: %s\n", c.Case, strings.Join(words, "; "))
		}
	}
	if len(p.FrequenciesHz) > 0 {
		fmt.Fprintf(w, "natural frequencies: %s Hz\n", numbers(p.FrequenciesHz))
	}
	if v := p.Warp; v != nil {
		fmt.Fprintf(w, "warp off the bed, cooled by %.0f K: %.2g mm out of flat; matrix index of the stress locked in %.2g\n", v.CoolingK, v.HeightMM, v.Residual)
	}
	if p.File != "" {
		fmt.Fprintf(w, "fields of the plate: %s\n", p.File)
	}
}

func numbers(list []float64) string {
	words := make([]string, len(list))
	for i, v := range list {
		words[i] = fmt.Sprintf("%.3g", v)
	}
	return strings.Join(words, ", ")
}
