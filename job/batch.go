package job

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/program"
	"sinew/strand"
)

// defaultApart is the least distance of copies on the bed, mm: the nozzle and
// what it draws along clear the neighbour (common practice).
const defaultApart = 5.0

// Copies asks for a number of parts in one print, instead of the job file's.
func (j *Job) Copies(n int) error {
	if n < 1 || n > maxCopies {
		return &InputError{[]Fault{{Key: "--copies", What: fmt.Sprintf("is %d", n), Remedy: fmt.Sprintf("give 1 to %d copies", maxCopies)}}}
	}
	j.copies = n
	return nil
}

// batch returns how many parts are printed at once.
func (j *Job) batch() int {
	if j.copies > 0 {
		return j.copies
	}
	return max(1, j.file.Batch.Copies)
}

// placed puts the copies of a print on the bed, as the nozzle is to go. One copy lies in the middle, as
// the program places it.
func (j *Job) placed(pr *strand.Print, set *program.Settings) (*strand.Print, error) {
	pr = pr.Driven()
	n := j.batch()
	if n == 1 {
		return pr, nil
	}
	apart := float64(j.file.Batch.Spacing)
	if apart == 0 {
		apart = defaultApart
	}
	shape := pr.Region
	if reach := j.strandSettings().Grip.Reach(j.in.printer.WallWidth); reach > 0 {
		grown := geom.Polygons{shape.Outer.Flatten(aroundFlat)}.Offset(reach, aroundFlat)
		shape = geom.Region{Outer: grown[0].Loop()}
	}
	places := program.Nest(shape, j.in.printer.Bed, n, apart)
	if len(places) < n {
		j.faults.add("batch.copies", fmt.Sprintf("%d copies do not fit on the bed of %s, %g mm apart", n, j.in.printer.ID, apart), fmt.Sprintf("take %d or fewer", len(places)))
		return nil, j.faults.err()
	}
	set.Placed, set.Place = true, geom.Point{}
	return program.Copies(pr, places), nil
}

// spools is what is known of the machine's spools.
func (j *Job) spools() program.Spools {
	b := j.file.Batch
	return program.Spools{
		TowLeft: float64(b.TowLeft), Tow: j.in.law.Tow().Spool,
		PlasticLeft: float64(b.PlasticLeft), Plastic: j.in.plastic.Spool,
	}
}

// joulesPerKWh converts the record's energy.
const joulesPerKWh = 3.6e6

// addPlan puts what a print takes, beyond the totals, into its record.
func (r *ProgramRecord) addPlan(sum *program.Summary, copies int, density float64) {
	n := float64(copies)
	r.Copies, r.TimeEachS, r.CostEach, r.EnergyKWh = copies, sum.Time/n, sum.Cost/n, sum.Energy/joulesPerKWh
	r.TowUsedM = sum.TowUsed / 1000
	for k, v := range sum.Plastic {
		r.PlasticOfG[k] = v * density
	}
	r.Times, r.SpoolChanges = nil, nil
	for _, a := range program.Activities() {
		if s := sum.Times[a]; s > 0 {
			r.Times = append(r.Times, TimeRecord{a.String(), s})
		}
	}
	for _, c := range sum.SpoolChanges {
		what := "plastic"
		if c.Tow {
			what = "tow"
		}
		r.SpoolChanges = append(r.SpoolChanges, SpoolChangeRecord{what, c.Tool.String(), c.Layer, c.Index, c.Time})
	}
}

// spoolWarnings says where a spool is used up.
func (r *ProgramRecord) spoolWarnings(pauses bool) []string {
	var out []string
	for _, c := range r.SpoolChanges {
		text := fmt.Sprintf("the %s of the %s nozzle is used up before layer %d, piece %d, after %.0f min", c.What, c.Nozzle, c.Layer+1, c.Before+1, math.Floor(c.TimeS/60))
		if pauses {
			text += ": the program stops there for a new spool"
		} else {
			text += ": the printer's card has no words to stop for a new spool, watch for it"
		}
		out = append(out, text)
	}
	return out
}
