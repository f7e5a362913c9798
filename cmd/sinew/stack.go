package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"sinew/job"
	"sinew/unit"
)

type stackCommand struct {
	cardFlags
	materialFlags
	Layers    string `arg:"" help:"Layers, bottom first: '[0/±45/90@0.8mm/plastic*2]s'. Angles in degrees; @ a spacing of strands, : a thickness, * how often; plastic@30% for infill, plastic@30%+10% with a tenth of the section in walls; s mirrors the stack."`
	Spacing   string `help:"Distance of strands where a layer states none; default 1 mm." placeholder:"LENGTH"`
	Offset    string `help:"Height of the stack's middle above the plane that moments refer to; default 0." placeholder:"LENGTH"`
	Force     string `help:"Along x, along y, in shear: 100N/mm,-20N/mm,0N/mm; write --force=… where the first is negative." placeholder:"X,Y,XY"`
	Moment    string `help:"Per width, alike: 5N,0N,0N." placeholder:"X,Y,XY"`
	Cooling   string `help:"By how much it is cooled, such as 60K." placeholder:"T"`
	Moisture  string `help:"Water taken up, share of the mass, such as 2%." placeholder:"SHARE"`
	Shear     string `help:"Force across the stack, as of a short beam along x, such as 10N/mm." placeholder:"LOAD"`
	Hole      string `help:"Diameter of a hole in the stack, pulled along x." placeholder:"LENGTH"`
	Width     string `help:"Of the strip with the hole; default: wide." placeholder:"LENGTH"`
	Pin       string `help:"Force along x of a pin in the hole; needs width and edge." placeholder:"FORCE"`
	Edge      string `help:"From the hole's centre to the end ahead of the pin." placeholder:"LENGTH"`
	Criterion string `help:"By which layers fail on the way to collapse; default hashin." placeholder:"NAME"`
}

// Run is called by kong.
func (c *stackCommand) Run(t *terminal) error {
	a, err := job.AskStack(c.Cards, job.StackQuestion{
		CardQuestion: c.question(), Layers: c.Layers, Spacing: c.Spacing, Offset: c.Offset, Force: c.Force, Moment: c.Moment,
		Cooling: c.Cooling, Moisture: c.Moisture, Shear: c.Shear, Hole: c.Hole, Width: c.Width, Pin: c.Pin, Edge: c.Edge, Criterion: c.Criterion,
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, a)
	}
	if c.Quiet {
		return nil
	}
	stackTables(t.out, &a.Laminate)
	s := a.Strengths
	fmt.Fprintf(t.out, "kept flat it fails as a whole (%s) at %.3g MPa pulled and %.3g MPa pressed along x, %.3g and %.3g MPa along y, %.3g MPa in shear\n",
		s.Criterion, s.TensionX, s.CompressionX, s.TensionY, s.CompressionY, s.Shear)
	if a.Load != nil {
		stackLoad(t.out, a.Load)
	}
	if w := a.Warp; w != nil {
		fmt.Fprintf(t.out, "free, it warps by %s 1/m (x, y, twist); most, %s 1/m, at %.0f°, by linear theory\n",
			triple(w.Curvature, 1000), stiffTerm(1000*w.Greatest), w.DirectionDeg)
	}
	if h := a.Shear; h != nil {
		fmt.Fprintf(t.out, "between the layers: %.3g MPa at z %.3f mm, of %.3g MPa: reserve factor %s\n", h.Stress, h.Z, h.Strength, unit.Reserve(h.Reserve))
	}
	if h := a.Hole; h != nil {
		fmt.Fprintf(t.out, "hole: peak %.3f of the gross stress, %.3f ahead of it; fails at a gross stress of %.3g MPa (point stress at %.3g mm), %.3g MPa (mean over %.3g mm)\n",
			h.Kt, h.Front, h.Point, h.PointMM, h.Average, h.AverageMM)
		for _, k := range h.Lug {
			fmt.Fprintf(t.out, "pin: %s %.3g of %.3g MPa: reserve factor %s\n", k.Check, k.Stress, k.Strength, unit.Reserve(k.Reserve))
		}
	}
	fmt.Fprintln(t.out, "estimates from the cards, not test data; --json holds every term")
	return nil
}

// stackTables prints layers, stiffness and constants.
func stackTables(out io.Writer, l *job.LaminateRecord) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "layer\tholds\tangle °\tfrom mm\tmm\tdry fibre\tE1 GPa\tE2 GPa\tG12 GPa\tnu12")
	for i, y := range l.Layers {
		fmt.Fprintf(w, "%d\t%s\t%.4g\t%.3f\t%.3g\t%.1f %%\t%.2f\t%.2f\t%.3f\t%.3f\n", i+1, y.Holds, y.AngleDeg, y.BottomMM, y.ThicknessMM, 100*y.FibreShare, y.E1/1000, y.E2/1000, y.G12/1000, y.Nu12)
	}
	fmt.Fprintln(w)
	fmt.Fprintln(w, "\t11\t12\t16\t22\t26\t66")
	for _, row := range []struct {
		name string
		v    [6]float64
	}{{"A N/mm", l.A}, {"B N", l.B}, {"D N mm", l.D}} {
		fmt.Fprint(w, row.name)
		for _, v := range row.v {
			fmt.Fprintf(w, "\t%s", stiffTerm(v))
		}
		fmt.Fprintln(w)
	}
	w.Flush()
	fmt.Fprintf(out, "%.4g mm; Ex %.2f, Ey %.2f, Gxy %.2f GPa, nuxy %.3f; free to bend Ex %.2f, Ey %.2f GPa; in bending %.2f, %.2f GPa\n", l.ThicknessMM,
		l.Ex/1000, l.Ey/1000, l.Gxy/1000, l.Nuxy, l.ExFree/1000, l.EyFree/1000, l.ExBend/1000, l.EyBend/1000)
	fmt.Fprintf(out, "%s\n", l.Couplings)
	fmt.Fprintf(out, "transverse shear 44, 45, 55: %s N/mm\n", triple(l.Shear, 1))
	fmt.Fprintf(out, "held and warmed by 1 K: force %s N/mm, moment %s N; free it grows by %s 10⁻⁶ (x, y, xy)\n",
		triple(l.ThermalForce, 1), triple(l.ThermalMoment, 1), triple(l.Expansion, 1e6))
}

// rounding is below what terms of any real stack have (N/mm, N, N mm), its
// stresses (MPa), and its strains and curvatures (1/mm) in millionths.
const rounding = 1e-6

// stiffTerm writes a term of a stiffness.
func stiffTerm(v float64) string {
	if v > -rounding && v < rounding {
		return "0"
	}
	return fmt.Sprintf("%.5g", v)
}

// triple writes three components, scaled.
func triple(v [3]float64, scale float64) string {
	return fmt.Sprintf("%s, %s, %s", stiffTerm(scale*v[0]), stiffTerm(scale*v[1]), stiffTerm(scale*v[2]))
}

// stackLoad prints what the load does.
func stackLoad(out io.Writer, l *job.StackLoadRecord) {
	fmt.Fprintf(out, "strain of the reference plane %s 10⁻⁶ (x, y, xy); curvature %s 1/m\n", triple(l.Strain, 1e6), triple(l.Curvature, 1000))
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "layer\tz mm\tσx, σy, τxy MPa\tσ1, σ2, τ12 MPa")
	for _, s := range l.Stresses {
		fmt.Fprintf(w, "%d\t%.3f\t%s\t%s\n", s.Layer, s.Z, triple(s.Part, 1), triple(s.Own, 1))
	}
	w.Flush()
	if l.Collapse == nil {
		return
	}
	fmt.Fprintln(out)
	fmt.Fprintln(w, "criterion\treserve\tfails first\tlayer\tz mm\tσ1, σ2, τ12 MPa\tplane")
	for _, f := range l.First {
		plane := ""
		if f.FractureDeg != 0 {
			plane = fmt.Sprintf("%.0f°", f.FractureDeg)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%d\t%.3f\t%s\t%s\n", f.Criterion, unit.Reserve(f.Reserve), f.Fails, f.Layer, f.Z, triple(f.Stress, 1), plane)
	}
	w.Flush()
	k := l.Collapse
	fmt.Fprintf(out, "then ply by ply: first matrix failure %.4g, first fibre failure %.4g, collapse at %.4g of the load\n", k.FirstMatrix, k.FirstFibre, k.Load)
	for _, s := range k.Steps {
		fmt.Fprintf(out, "  %.4g  layer %d: %s\n", s.Load, s.Layer, s.Fails)
	}
}
