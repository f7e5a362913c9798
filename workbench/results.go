package workbench

import (
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// ResultState is what the last run found.
type ResultState struct {
	Record *job.Record    `json:"record"`
	Run    *job.RunRecord `json:"run"`
	Fresh  bool           `json:"fresh" doc:"nothing that went into it has been changed since"`
}

// HistoryList is the history of runs.
type HistoryList struct {
	Runs []job.RunBrief `json:"runs" doc:"newest first"`
}

// RunPath names a run of the history.
type RunPath struct {
	JobPath
	ID string `path:"id" maxLength:"40"`
}

// ChangesQuery asks what differs between two runs.
type ChangesQuery struct {
	RunPath
	To string `query:"to" default:"now" maxLength:"40" doc:"another run, or now: the job file as it is"`
}

// ChangeList is what differs.
type ChangeList struct {
	Changed []job.KeyChange `json:"changed"`
}

// RestoreRun asks for the job file of a run.
type RestoreRun struct {
	RunPath
	Body struct {
		Base string `json:"base" doc:"version of the job file that the asker sees"`
	}
}

func (s *Server) registerResults() {
	get(s, "/api/jobs/{job}/result", "get-result", "Record of the last run", func(ctx context.Context, in *JobPath) (*ResultState, error) {
		return onJob(s, in.Job, (*session).result)
	})
	s.serveFile("/api/jobs/{job}/dossier", "get-dossier", "The report of the last whole run", "text/html; charset=utf-8", reportPolicy, "dossier.html")
	s.serveFile("/api/jobs/{job}/program", "get-program", "The machine program of the last run", "text/plain; charset=utf-8", sealedPolicy, job.ProgramName)
	get(s, "/api/jobs/{job}/history", "list-history", "Earlier runs, with what was changed from one to the next", func(ctx context.Context, in *JobPath) (*HistoryList, error) {
		return onJob(s, in.Job, (*session).history)
	})
	get(s, "/api/jobs/{job}/history/{id}", "get-history", "An earlier run", func(ctx context.Context, in *RunPath) (*job.KeptRun, error) {
		return onJob(s, in.Job, func(x *session) (*job.KeptRun, error) { return job.ReadRun(x.dir, in.ID) })
	})
	get(s, "/api/jobs/{job}/history/{id}/changes", "get-changes", "What differs in the job file", func(ctx context.Context, in *ChangesQuery) (*ChangeList, error) {
		return onJob(s, in.Job, func(x *session) (*ChangeList, error) { return x.changes(in.ID, in.To) })
	})
	register(s, huma.Operation{Method: http.MethodPost, Path: "/api/jobs/{job}/history/{id}/restore", OperationID: "restore-history", Summary: "Take the job file of an earlier run again, as one step"},
		func(ctx context.Context, in *RestoreRun) (*FileState, error) {
			return onJob(s, in.Job, func(x *session) (*FileState, error) { return x.restore(in.ID, in.Body.Base) })
		})
	get(s, "/api/schema/result", "result-schema", "JSON Schema of the record", func(ctx context.Context, _ *struct{}) (*json.RawMessage, error) { return schema(job.ResultSchema) })
	get(s, "/api/schema/job", "job-schema", "JSON Schema of the job file: keys, choices, what they mean", func(ctx context.Context, _ *struct{}) (*json.RawMessage, error) { return schema(job.Schema) })
}

func schema(make func() ([]byte, error)) (*json.RawMessage, error) {
	data, err := make()
	raw := json.RawMessage(data)
	return &raw, err
}

// result reads what the last run left.
func (x *session) result() (*ResultState, error) {
	out := filepath.Join(x.dir, "out")
	if err := job.CheckConfined(x.dir, out); err != nil {
		return nil, err
	}
	r := &ResultState{Record: new(job.Record), Run: new(job.RunRecord)}
	data, err := os.ReadFile(filepath.Join(out, job.ResultName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, problem(http.StatusNotFound, "there are no results yet; run the job")
	}
	if err == nil {
		err = json.Unmarshal(data, r.Record)
	}
	if err == nil {
		data, err = os.ReadFile(filepath.Join(out, job.RunName))
	}
	if err == nil {
		err = json.Unmarshal(data, r.Run)
	}
	if err != nil {
		return nil, problem(http.StatusConflict, "the kept results cannot be read: %v; run the job again", err)
	}
	r.Fresh = r.Record.InputHash == x.inputHash()
	return r, nil
}

// history lists the runs, the present results among them: another command may
// have made them.
func (x *session) history() (*HistoryList, error) {
	if _, err := job.KeepRun(x.dir, x.options(), ""); err != nil && !errors.Is(err, job.ErrNoResults) {
		return nil, err
	}
	list, err := job.Runs(x.dir)
	return &HistoryList{list}, err
}

func (x *session) changes(from, to string) (*ChangeList, error) {
	a, err := job.ReadRun(x.dir, from)
	if err != nil {
		return nil, err
	}
	if to == "now" {
		st, err := x.journal.State()
		if err != nil {
			return nil, err
		}
		return &ChangeList{job.ChangedKeys(a.Text, string(st.Text))}, nil
	}
	b, err := job.ReadRun(x.dir, to)
	if err != nil {
		return nil, err
	}
	return &ChangeList{job.ChangedKeys(a.Text, b.Text)}, nil
}

func (x *session) restore(id, base string) (*FileState, error) {
	k, err := job.ReadRun(x.dir, id)
	if err != nil {
		return nil, err
	}
	if k.Text == "" {
		return nil, problem(http.StatusConflict, "the job file of that run was changed before anybody looked: only its results are kept")
	}
	return x.fileState(x.journal.Change(base, "take the job file of an earlier run", func([]byte) ([]byte, error) { return []byte(k.Text), nil }))
}

// Bytes is the answer of a route that does not answer JSON.
type Bytes struct {
	ContentType string `header:"Content-Type"`
	Policy      string `header:"Content-Security-Policy"`
	Body        []byte
}

// serveFile registers a route that answers with a file of the results.
func (s *Server) serveFile(path, id, summary, contentType, policy, name string) {
	op := s.withProblem(bytesOperation(path, id, summary, contentType))
	huma.Register(s.api, op, func(ctx context.Context, in *JobPath) (*Bytes, error) {
		x, err := s.session(in.Job)
		if err != nil {
			return nil, asProblem(err)
		}
		file := filepath.Join(x.dir, "out", name)
		if err := job.CheckConfined(x.dir, file); err != nil {
			return nil, asProblem(err)
		}
		data, err := os.ReadFile(file)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, problem(http.StatusNotFound, "there is none yet; run the job to its end")
		}
		return &Bytes{contentType, policy, data}, asProblem(err)
	})
}

// bytesOperation describes a route that answers with bytes.
func bytesOperation(path, id, summary, contentType string) huma.Operation {
	return huma.Operation{Method: http.MethodGet, Path: path, OperationID: id, Summary: summary, Responses: map[string]*huma.Response{
		"200": {Description: summary, Content: map[string]*huma.MediaType{contentType: {Schema: &huma.Schema{Type: "string", Format: "binary"}}}},
	}}
}
