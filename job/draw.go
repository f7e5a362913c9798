package job

import (
	"context"

	"sinew/field"
	"sinew/proof"
	"sinew/strand"
	"sinew/stress"
)

// drawer draws the strands of a lay-up and maps them back to the points of a
// system, so that the field is planned for what will be printed.
func (j *Job) drawer(sys *stress.System) field.Draw {
	set := strand.Settings{Region: j.in.part.Region, Walls: j.walls(), Bare: true, Workers: j.opt.Workers, Stagger: j.stagger(), TurnAt: j.turnAt(), TurnReach: float64(j.file.Layup.TurnReach)}
	return func(ctx context.Context, l *field.Layup) ([]field.Ply, error) {
		pr, err := strand.Lay(ctx, l, j.in.printer, set)
		if err != nil {
			return nil, err
		}
		return Plies(pr, l, sys, float64(j.file.Judge.Transfer), j.opt.Workers), nil
	}
}

// Plies turns a print into what the field judges lay-ups by. transfer is the
// length over which the end of a strand takes up its load, mm.
func Plies(pr *strand.Print, l *field.Layup, sys *stress.System, transfer float64, workers int) []field.Ply {
	maps := proof.AsPrinted(pr, sys.Part(), sys.Points(), transfer, workers)
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
