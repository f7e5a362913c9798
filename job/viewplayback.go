package job

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"sinew/geom"
	"sinew/printer"
	"sinew/program"
)

// framesAtOnce bounds the frames of one answer.
const framesAtOnce = 500_000

// noIndex stands where a frame belongs to no layer, strand or bead.
const noIndex = 1<<32 - 1

// frames collects a program as it runs on its machine.
type frames struct {
	start, end, from, to, feed, speed, temperature, width []float32
	activity, tool                                        []uint8
	layer, strand, bead, line                             []uint32
}

// Playback returns the machine program of these results as it runs, from the
// given time on, in the coordinates of the part's drawing; of several copies,
// in those of the first. An answer that is full says where to go on.
func (v *Views) Playback(ctx context.Context, from float64) (*Arrays, error) {
	path := filepath.Join(v.job.out, programName)
	if err := v.job.confine(path); err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, noView("there is no machine program yet")
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	card, towArea := v.job.in.printer, v.job.in.law.TowArea()
	if card.Process == printer.PreImpregnated {
		towArea = card.PregArea
	}
	back := v.job.backFromBed(v.lay)
	var out frames
	next := 0.0
	rep, err := program.Play(ctx, f, card, func(fr program.Frame) {
		switch {
		case fr.End <= from || next > 0:
		case len(out.line) == framesAtOnce:
			next = fr.Start
		default:
			out.add(&fr, towArea, back)
		}
	})
	if err != nil {
		return nil, programFault(programName, err)
	}
	return out.arrays(rep.Time, next, card), nil
}

// backFromBed takes a point of the bed to where it lies on the part's drawing.
func (j *Job) backFromBed(l *laid) func(geom.Point) geom.Point {
	if l == nil {
		return func(p geom.Point) geom.Point { return p }
	}
	apart := float64(j.file.Batch.Spacing)
	if apart == 0 {
		apart = defaultApart
	}
	first := program.Nest(l.Print.Region, j.in.printer.Bed, j.batch(), apart)[0]
	undo := program.Placement{Turns: (4 - first.Turns) % 4}
	return func(p geom.Point) geom.Point { return undo.Place(p.Sub(first.At)) }
}

func (a *frames) add(f *program.Frame, towArea float64, back func(geom.Point) geom.Point) {
	place := func(p [3]float64) []float32 {
		q := back(geom.Point{X: p[0], Y: p[1]})
		return []float32{float32(q.X), float32(q.Y), float32(p[2])}
	}
	index := func(i int) uint32 {
		if i < 0 {
			return noIndex
		}
		return uint32(i)
	}
	a.start, a.end = append(a.start, float32(f.Start)), append(a.end, float32(f.End))
	a.from, a.to = append(a.from, place(f.From)...), append(a.to, place(f.To)...)
	a.feed, a.speed = append(a.feed, float32(f.Feed)), append(a.speed, float32(f.In), float32(f.Out))
	a.temperature, a.width = append(a.temperature, float32(f.Temperature)), append(a.width, float32(f.Width(towArea)))
	a.activity, a.tool = append(a.activity, uint8(f.Activity)), append(a.tool, uint8(f.Tool))
	a.layer, a.strand, a.bead = append(a.layer, index(f.Layer)), append(a.strand, index(f.Strand)), append(a.bead, index(f.Bead))
	a.line = append(a.line, uint32(f.Line))
}

func (a *frames) arrays(total, next float64, card *printer.Card) *Arrays {
	names := []string{}
	for _, x := range program.Activities() {
		names = append(names, x.String())
	}
	out := &Arrays{Kind: "playback", Meta: map[string]any{
		"total_s": total, "next_s": next, "activities": names, "tools": []string{printer.ToolKind(0).String(), printer.ToolKind(1).String()}, "printer": card.Title,
	}}
	out.floats("start", 1, a.start)
	out.floats("end", 1, a.end)
	out.floats("from", 3, a.from)
	out.floats("to", 3, a.to)
	out.floats("feed", 1, a.feed)
	out.floats("speed", 2, a.speed)
	out.marks("activity", 1, a.activity)
	out.marks("tool", 1, a.tool)
	out.floats("temperature", 1, a.temperature)
	out.indices("layer", 1, a.layer)
	out.indices("strand", 1, a.strand)
	out.indices("bead", 1, a.bead)
	out.floats("width", 1, a.width)
	out.indices("line", 1, a.line)
	return out
}
