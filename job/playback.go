package job

import (
	"context"
	"errors"
	"io"
	"math"
	"os"

	"sinew/printer"
	"sinew/program"
)

// PlaybackWindow chooses what of a program's time is wanted.
type PlaybackWindow struct {
	From, To float64 // s from the start of the program; To 0: to its end
	// Most bounds the frames of one answer; NextS of the answer says where to go
	// on. Default 100000.
	Most int
	// TowArea is the tow's section with its resin, mm², from which the width of
	// co-extruded beads follows; 0: their plastic alone.
	TowArea float64
}

const defaultPlayed = 100_000

// PlaybackRecord is a program as it runs on its machine: columns of equal
// length, one row a frame. In row i the tool goes straight to (x, y, z), or
// waits there, and is done at end_s.
type PlaybackRecord struct {
	Printer    string          `json:"printer"`
	DurationS  float64         `json:"duration_s" jsonschema_description:"of the whole program, heating at its start left out"`
	Layers     []PlaybackLayer `json:"layers" jsonschema_description:"of the whole program"`
	StartS     float64         `json:"start_s" jsonschema_description:"of the first row"`
	Start      [3]float64      `json:"start_mm" jsonschema_description:"where the first row starts"`
	NextS      float64         `json:"next_s,omitempty" jsonschema_description:"where to go on when the answer is full; 0 when it is complete"`
	Activities []string        `json:"activities" jsonschema_description:"what the numbers in the column activity stand for"`
	End        []float64       `json:"end_s"`
	X          []float64       `json:"x_mm"`
	Y          []float64       `json:"y_mm"`
	Z          []float64       `json:"z_mm"`
	Activity   []int           `json:"activity"`
	Tool       []int           `json:"tool" jsonschema_description:"0 plastic, 1 composite"`
	Feed       []float64       `json:"feed_mm_s" jsonschema_description:"asked for"`
	Nozzle     []float64       `json:"nozzle_C"`
	Width      []float64       `json:"bead_width_mm" jsonschema_description:"0 where nothing is laid"`
	Layer      []int           `json:"layer" jsonschema_description:"index into layers, -1 before the first"`
	Strand     []int           `json:"strand" jsonschema_description:"in the program's order, -1 none"`
	Line       []int           `json:"line" jsonschema_description:"of the program's text"`
}

// PlaybackLayer is one printed height.
type PlaybackLayer struct {
	TopMM    float64 `json:"top_mm"`
	HeightMM float64 `json:"height_mm"`
	StartS   float64 `json:"start_s"`
	Line     int     `json:"line"`
}

// PlayProgram runs a program on a printer's card and returns position, tool,
// feed, temperature and bead by time. Memory grows with the window, not with
// the program.
func PlayProgram(ctx context.Context, path, printerID, cardsDir string, w PlaybackWindow) (*PlaybackRecord, error) {
	card, err := cardFolder(cardsDir).printerFor(printerID)
	if err != nil {
		return nil, err
	}
	return play(ctx, path, card, w)
}

// Play is PlayProgram for a program of the job: its printer and tow are the
// job's.
func (j *Job) Play(ctx context.Context, path string, w PlaybackWindow) (*PlaybackRecord, error) {
	if w.TowArea == 0 {
		w.TowArea = j.in.law.TowArea()
	}
	return play(ctx, path, j.in.printer, w)
}

func play(ctx context.Context, path string, c *printer.Card, w PlaybackWindow) (*PlaybackRecord, error) {
	f, err := openInput(path, maxProgramBytes)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return playText(ctx, f, path, c, w)
}

// openInput opens a file that the user names, to be read piece by piece.
func openInput(path string, limit int64) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		what := "cannot be read"
		if errors.Is(err, os.ErrNotExist) {
			what = "is not there"
		}
		return nil, &InputError{[]Fault{{File: path, What: what, Remedy: "check the path and its permissions"}}}
	}
	if info, err := f.Stat(); err != nil || info.IsDir() || info.Size() > limit {
		f.Close()
		return nil, &InputError{[]Fault{{File: path, What: "is no program, or too large", Remedy: "name a machine program of up to 1 GiB"}}}
	}
	return f, nil
}

func playText(ctx context.Context, r io.Reader, name string, c *printer.Card, w PlaybackWindow) (*PlaybackRecord, error) {
	if w.Most <= 0 {
		w.Most = defaultPlayed
	}
	if w.To <= 0 {
		w.To = math.Inf(1)
	}
	if c.Process == printer.PreImpregnated {
		w.TowArea = c.PregArea
	}
	out := &PlaybackRecord{
		Printer: c.ID, Layers: []PlaybackLayer{}, End: []float64{}, X: []float64{}, Y: []float64{}, Z: []float64{}, Activity: []int{}, Tool: []int{},
		Feed: []float64{}, Nozzle: []float64{}, Width: []float64{}, Layer: []int{}, Strand: []int{}, Line: []int{},
	}
	for _, a := range program.Activities() {
		out.Activities = append(out.Activities, a.String())
	}
	var starts []float64
	rep, err := program.Play(ctx, r, c, func(f program.Frame) {
		for len(starts) <= f.Layer {
			starts = append(starts, f.Start)
		}
		if f.End > w.From && f.Start < w.To && out.NextS == 0 {
			out.add(&f, w)
		}
	})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, programFault(name, err)
	}
	out.DurationS = rep.Time
	for i, s := range starts {
		l := rep.Layers[i]
		out.Layers = append(out.Layers, PlaybackLayer{l.Z, l.Height, s, l.Line})
	}
	return out, nil
}

func (p *PlaybackRecord) add(f *program.Frame, w PlaybackWindow) {
	if len(p.End) == w.Most {
		p.NextS = f.Start
		return
	}
	if len(p.End) == 0 {
		p.StartS, p.Start = f.Start, f.From
	}
	p.End = append(p.End, f.End)
	p.X, p.Y, p.Z = append(p.X, f.To[0]), append(p.Y, f.To[1]), append(p.Z, f.To[2])
	p.Activity, p.Tool = append(p.Activity, int(f.Activity)), append(p.Tool, int(f.Tool))
	p.Feed, p.Nozzle = append(p.Feed, f.Feed), append(p.Nozzle, f.Temperature)
	p.Width = append(p.Width, f.Width(w.TowArea))
	p.Layer, p.Strand, p.Line = append(p.Layer, f.Layer), append(p.Strand, f.Strand), append(p.Line, f.Line)
}
