package workbench

import (
	"context"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// Answer wraps the body of an answer.
type Answer[T any] struct{ Body T }

// JobPath is the part of an address that names a job.
type JobPath struct {
	Job string `path:"job" maxLength:"100" doc:"folder name of the job in the workspace" example:"hanger"`
}

// Home describes the server.
type Home struct {
	Version   string `json:"version" doc:"of the program"`
	Workspace string `json:"workspace" doc:"name of the folder that is served"`
	Single    bool   `json:"single" doc:"the workspace is one job"`
	Caution   string `json:"caution" doc:"what every reader of a result must know"`
}

// JobList lists the jobs of the workspace.
type JobList struct {
	Jobs []JobEntry `json:"jobs"`
}

// JobEntry is one of them.
type JobEntry struct {
	ID string `json:"id" doc:"names the job in addresses"`
	job.Brief
	Running bool `json:"running" doc:"a run of this server is under way"`
}

func (s *Server) registerWorkspace() {
	get(s, "/api", "home", "What this server is", func(ctx context.Context, _ *struct{}) (*Home, error) {
		return &Home{Version: job.Version, Workspace: s.space.name(), Single: s.space.single, Caution: job.Caution}, nil
	})
	get(s, "/api/jobs", "list-jobs", "The jobs of the workspace", func(ctx context.Context, _ *struct{}) (*JobList, error) {
		return s.listJobs()
	})
}

func (s *Server) listJobs() (*JobList, error) {
	ids, err := s.space.jobs()
	if err != nil {
		return nil, err
	}
	out := &JobList{Jobs: []JobEntry{}}
	for _, id := range ids {
		dir, err := s.space.folder(id)
		if err != nil {
			continue // it went away between listing and looking
		}
		b, err := job.ReadBrief(dir)
		if err != nil {
			continue
		}
		out.Jobs = append(out.Jobs, JobEntry{ID: id, Brief: b})
	}
	return out, nil
}

// get registers a route that reads.
func get[I, O any](s *Server, path, id, summary string, f func(context.Context, *I) (*O, error)) {
	register(s, huma.Operation{Method: http.MethodGet, Path: path, OperationID: id, Summary: summary}, f)
}

// register adds an operation whose answer is JSON. Every refusal is a Problem.
func register[I, O any](s *Server, op huma.Operation, f func(context.Context, *I) (*O, error)) {
	huma.Register(s.api, s.withProblem(op), func(ctx context.Context, in *I) (*Answer[*O], error) {
		out, err := f(ctx, in)
		if err != nil {
			return nil, asProblem(err)
		}
		return &Answer[*O]{out}, nil
	})
}

// bodyTimeout bounds how long a request may take to arrive: a large solid over
// a slow line.
const bodyTimeout = 10 * time.Minute

// withProblem states how the operation refuses.
func (s *Server) withProblem(op huma.Operation) huma.Operation {
	if op.Responses == nil {
		op.Responses = map[string]*huma.Response{}
	}
	if op.MaxBodyBytes == 0 {
		op.MaxBodyBytes = maxBodyBytes
	}
	op.BodyReadTimeout = bodyTimeout
	op.Responses["default"] = &huma.Response{
		Description: "refused: what is wrong, and what to do",
		Content:     map[string]*huma.MediaType{"application/problem+json": {Schema: s.problemSchema()}},
	}
	return op
}
