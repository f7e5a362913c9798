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
		if l := c.Large; l != nil && l.Reached {
			words = append(words, fmt.Sprintf("with large deflections %.3g mm at (%.1f, %.1f)", l.DeflectionMM, l.X, l.Y))
		} else if l != nil {
			words = append(words, fmt.Sprintf("with large deflections it gives way or snaps at %.3g times the required load", l.Factor))
		}
		if len(words) > 0 {
			fmt.Fprintf(w, "as a plate, %s: %s\n", c.Case, strings.Join(words, "; "))
		}
	}
	if len(p.FrequenciesHz) > 0 {
		fmt.Fprintf(w, "natural frequencies: %s Hz\n", numbers(p.FrequenciesHz))
	}
	if v := p.Warp; v != nil {
		large := ""
		if v.LargeMM > 0 {
			large = fmt.Sprintf(" (%.2g mm with large deflections)", v.LargeMM)
		}
		fmt.Fprintf(w, "warp off the bed, cooled by %.0f K: %.2g mm out of flat%s; matrix index of the stress locked in %.2g\n", v.CoolingK, v.HeightMM, large, v.Residual)
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
