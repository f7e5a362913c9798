package workbench

import (
	"context"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// ViewQuery says whose views are meant.
type ViewQuery struct {
	JobPath
	Of string `query:"of" default:"run" enum:"run,quick" doc:"the last run, also while it goes on; or the last quick analysis"`
}

// CaseQuery chooses a load case.
type CaseQuery struct {
	ViewQuery
	Case int `query:"case" doc:"index of the load case"`
}

// DesignQuery chooses a design under a load case.
type DesignQuery struct {
	CaseQuery
	Design int `query:"design" minimum:"0" doc:"index of the design; 0 is the part as printed"`
}

// FieldQuery chooses a field.
type FieldQuery struct {
	DesignQuery
	Quantity string `query:"quantity" required:"true" doc:"id of a field, as views lists them"`
	Layer    int    `query:"layer" default:"-1" doc:"index of a printed layer; -1: all"`
	Face     string `query:"face" default:"middle" enum:"bottom,middle,top" doc:"where in a layer's height a stress is meant; matters where the case bends the part"`
}

func (q *FieldQuery) chosen() job.FieldQuery {
	return job.FieldQuery{Quantity: q.Quantity, Design: q.Design, Case: q.Case, Layer: q.Layer, Face: q.Face}
}

// ShapeQuery chooses a shape of the part as printed.
type ShapeQuery struct {
	CaseQuery
	ID string `query:"id" required:"true" maxLength:"40" doc:"id of a shape, as views lists them"`
}

// LayerQuery chooses a printed layer.
type LayerQuery struct {
	ViewQuery
	Layer int `query:"layer" required:"true" minimum:"0" doc:"index of the printed layer"`
}

// StrandsQuery chooses strands.
type StrandsQuery struct {
	ViewQuery
	Layer int `query:"layer" default:"-1" doc:"index of a printed layer; -1: every distinct layer once"`
}

// StrandQuery chooses one strand.
type StrandQuery struct {
	CaseQuery
	Layer  int `query:"layer" required:"true" minimum:"0" doc:"index of the printed layer"`
	Strand int `query:"strand" required:"true" minimum:"0" doc:"in the layer's printing order"`
}

// PlaceQuery chooses a point.
type PlaceQuery struct {
	DesignQuery
	X float64 `query:"x" required:"true" doc:"mm"`
	Y float64 `query:"y" required:"true" doc:"mm"`
}

// PlaybackQuery chooses a time.
type PlaybackQuery struct {
	ViewQuery
	From float64 `query:"from" minimum:"0" doc:"s from the start of the program; next_s of an answer says where to go on"`
}

// SectionQuery chooses a line and what to read along it.
type SectionQuery struct {
	FieldQuery
	AX float64 `query:"ax" required:"true" doc:"mm"`
	AY float64 `query:"ay" required:"true" doc:"mm"`
	BX float64 `query:"bx" required:"true" doc:"mm"`
	BY float64 `query:"by" required:"true" doc:"mm"`
	N  int     `query:"n" default:"200" minimum:"2" maximum:"5000" doc:"number of points"`
}

func (s *Server) registerViews() {
	get(s, "/api/jobs/{job}/views", "list-views", "What can be looked at", func(ctx context.Context, in *ViewQuery) (*job.ViewsSummary, error) {
		return onViews(s, in, func(v *job.Views) (*job.ViewsSummary, error) { return v.Summary(), nil })
	})
	view(s, "views/mesh", "Nodes, triangles and boundary", func(ctx context.Context, v *job.Views, in *ViewQuery) (*job.Arrays, error) { return v.MeshView(), nil })
	view(s, "views/principal", "Principal stress in a sheet of one even material, before any design", func(ctx context.Context, v *job.Views, in *CaseQuery) (*job.Arrays, error) {
		return v.Principal(in.Case)
	})
	view(s, "views/field", "A quantity at the corners of every triangle", func(ctx context.Context, v *job.Views, in *FieldQuery) (*job.Arrays, error) {
		return v.Field(ctx, in.chosen())
	})
	view(s, "views/displacement", "How far each node moves", func(ctx context.Context, v *job.Views, in *DesignQuery) (*job.Arrays, error) {
		return v.Displacement(ctx, in.Design, in.Case)
	})
	view(s, "views/shape", "How the part as printed bends, buckles, swings or warps as a plate", func(ctx context.Context, v *job.Views, in *ShapeQuery) (*job.Arrays, error) {
		return v.Shape(ctx, in.ID, in.Case)
	})
	view(s, "views/strands", "Strands with width, radius, tow share and use along them", func(ctx context.Context, v *job.Views, in *StrandsQuery) (*job.Arrays, error) {
		return v.Strands(ctx, in.Layer)
	})
	view(s, "views/beads", "Plain plastic of a layer", func(ctx context.Context, v *job.Views, in *LayerQuery) (*job.Arrays, error) { return v.Beads(in.Layer) })
	view(s, "views/coverage", "Gaps and overlaps of a layer", func(ctx context.Context, v *job.Views, in *LayerQuery) (*job.Arrays, error) {
		return v.Coverage(in.Layer)
	})
	view(s, "playback", "The machine program as it runs", func(ctx context.Context, v *job.Views, in *PlaybackQuery) (*job.Arrays, error) {
		return v.Playback(ctx, in.From)
	})
	get(s, "/api/jobs/{job}/views/at", "view-at", "What holds at a point", func(ctx context.Context, in *PlaceQuery) (*job.PlaceView, error) {
		return onViews(s, &in.ViewQuery, func(v *job.Views) (*job.PlaceView, error) {
			return v.At(ctx, job.Place(in.X, in.Y), in.Design, in.Case)
		})
	})
	get(s, "/api/jobs/{job}/views/section", "view-section", "A quantity along a line", func(ctx context.Context, in *SectionQuery) (*job.SectionView, error) {
		return onViews(s, &in.ViewQuery, func(v *job.Views) (*job.SectionView, error) {
			return v.Section(ctx, job.Place(in.AX, in.AY), job.Place(in.BX, in.BY), in.N, in.chosen())
		})
	})
	get(s, "/api/jobs/{job}/views/strand", "view-strand", "One strand along its length", func(ctx context.Context, in *StrandQuery) (*job.StrandView, error) {
		return onViews(s, &in.ViewQuery, func(v *job.Views) (*job.StrandView, error) {
			return v.Strand(ctx, in.Layer, in.Strand, in.Case)
		})
	})
}

// ofJob is what every query of a view holds.
type ofJob interface{ query() *ViewQuery }

func (q *ViewQuery) query() *ViewQuery { return q }

// onViews looks at a job's results.
func onViews[T any](s *Server, q *ViewQuery, look func(*job.Views) (*T, error)) (*T, error) {
	return onJob(s, q.Job, func(x *session) (*T, error) {
		v, err := x.viewsNow(q.Of)
		if err != nil {
			return nil, err
		}
		return look(v)
	})
}

// view registers a binary view. I is a query that holds a ViewQuery.
func view[I any, P interface {
	*I
	ofJob
}](s *Server, path, summary string, look func(context.Context, *job.Views, *I) (*job.Arrays, error)) {
	op := s.withProblem(bytesOperation("/api/jobs/{job}/"+path, "view-"+strings.TrimPrefix(path, "views/"), summary, "application/octet-stream"))
	op.Description = "Flat arrays with a header; docs/format/interface.md says how they lie and what this view holds."
	huma.Register(s.api, op, func(ctx context.Context, in *I) (*Bytes, error) {
		arrays, err := onViews(s, P(in).query(), func(v *job.Views) (*job.Arrays, error) { return look(ctx, v, in) })
		if err != nil {
			return nil, asProblem(err)
		}
		data, err := encodeArrays(arrays)
		return &Bytes{"application/octet-stream", sealedPolicy, data}, asProblem(err)
	})
}
