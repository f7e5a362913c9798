package job

import (
	"context"

	"sinew/field"
	"sinew/part"
	"sinew/proof"
	"sinew/strand"
	"sinew/stress"
)

// drawer draws the strands of a lay-up of the part, or of a terrace of it, and
// maps them back to the points of the part's system, so that the field is
// planned for what will be printed.
func (j *Job) drawer(sys *stress.System, p *part.Part) field.Draw {
	set := strand.Settings{Region: p.Region, Walls: j.walls(), Bare: true, Workers: j.opt.Workers, Stagger: j.stagger(), TurnAt: j.turnAt(), TurnReach: float64(j.file.Layup.TurnReach)}
	return func(ctx context.Context, l *field.Layup) ([]field.Ply, error) {
		pr, err := strand.Lay(ctx, l, j.in.printer, set)
		if err != nil {
			return nil, err
		}
		return plies(pr, l, sys, p, float64(j.file.Judge.Transfer), j.opt.Workers), nil
	}
}

// Plies turns a print into what the field judges lay-ups by. transfer is the
// length over which the end of a strand takes up its load, mm.
func Plies(pr *strand.Print, l *field.Layup, sys *stress.System, transfer float64, workers int) []field.Ply {
	return plies(pr, l, sys, sys.Part(), transfer, workers)
}

// plies is Plies of a print of p, which is the system's part or a terrace of it.
func plies(pr *strand.Print, l *field.Layup, sys *stress.System, p *part.Part, transfer float64, workers int) []field.Ply {
	maps := proof.AsPrinted(pr, p, sys.Points(), transfer, workers)
	out := make([]field.Ply, len(maps))
	for i, m := range maps {
		if m.Share != nil {
			for p := range m.Rho {
				m.Rho[p] *= m.Share[p]
			}
		}
		out[i] = field.Ply{
			Family: l.Layers[m.Layers[0]].Family, Layers: len(m.Layers),
			Rho: m.Rho, Cos: m.Cos, Sin: m.Sin, Length: m.Length(sys.Weights()),
		}
	}
	return out
}
