package workbench

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// FileState is the job file as it stands.
type FileState struct {
	Version  string            `json:"version" doc:"SHA-256 of the text: the base of the next edit"`
	Text     string            `json:"text"`
	Readable bool              `json:"readable" doc:"the text is TOML; otherwise doc and places are empty"`
	Doc      map[string]any    `json:"doc" doc:"the job file as written: quantities are text such as \"2.4 kN\""`
	Places   map[string][2]int `json:"places" doc:"line and column, from 1, of each key path"`
	Faults   []job.Fault       `json:"faults" doc:"what keeps the job from being run, each with its key"`
	Undo     string            `json:"undo,omitempty" doc:"what would be taken back; left out: nothing"`
	Redo     string            `json:"redo,omitempty" doc:"what would be done again; left out: nothing"`
}

// PatchFile is a list of edits.
type PatchFile struct {
	JobPath
	Body struct {
		Base   string     `json:"base" doc:"version that the edits are based on"`
		Label  string     `json:"label,omitempty" maxLength:"200" doc:"what the step is called when it is to be taken back"`
		Edits  []job.Edit `json:"edits" minItems:"1" maxItems:"1000" doc:"carried out in order, all or none"`
		DryRun bool       `json:"dry_run,omitempty" doc:"answer with what would be, change nothing"`
	}
}

// PutFile is a whole new text.
type PutFile struct {
	JobPath
	Body struct {
		Base   string `json:"base" doc:"version that the text is based on"`
		Label  string `json:"label,omitempty" maxLength:"200"`
		Text   string `json:"text" maxLength:"1048576"`
		DryRun bool   `json:"dry_run,omitempty"`
	}
}

// StepFile asks for a step back or forth.
type StepFile struct {
	JobPath
	Body struct {
		Base string `json:"base" doc:"version that the asker sees"`
	}
}

// EditList is the journal of a job.
type EditList struct {
	At      int                `json:"at" doc:"entries before it are carried out, those from it on are taken back"`
	Entries []job.JournalEntry `json:"entries" doc:"oldest first"`
}

func (s *Server) registerFile() {
	get(s, "/api/jobs/{job}/file", "get-file", "The job file: text, parsed form, faults", func(ctx context.Context, in *JobPath) (*FileState, error) {
		return onJob(s, in.Job, func(x *session) (*FileState, error) { return x.fileState(x.journal.State()) })
	})
	register(s, huma.Operation{Method: http.MethodPatch, Path: "/api/jobs/{job}/file", OperationID: "edit-file", Summary: "Edit the job file by key path"},
		func(ctx context.Context, in *PatchFile) (*FileState, error) {
			b := &in.Body
			return s.change(in.Job, b.Base, labelOf(b.Label, b.Edits), b.DryRun, func(text []byte) ([]byte, error) { return job.ApplyEdits(text, b.Edits) })
		})
	register(s, huma.Operation{Method: http.MethodPut, Path: "/api/jobs/{job}/file", OperationID: "put-file", Summary: "Replace the text of the job file"},
		func(ctx context.Context, in *PutFile) (*FileState, error) {
			b := &in.Body
			return s.change(in.Job, b.Base, labelOf(b.Label, nil), b.DryRun, func([]byte) ([]byte, error) { return []byte(b.Text), nil })
		})
	step := func(path, id, summary string, do func(*job.Journal, string) (*job.JournalState, error)) {
		register(s, huma.Operation{Method: http.MethodPost, Path: path, OperationID: id, Summary: summary}, func(ctx context.Context, in *StepFile) (*FileState, error) {
			return onJob(s, in.Job, func(x *session) (*FileState, error) { return x.fileState(do(x.journal, in.Body.Base)) })
		})
	}
	step("/api/jobs/{job}/undo", "undo", "Take the last step back", (*job.Journal).Undo)
	step("/api/jobs/{job}/redo", "redo", "Do again what was taken back", (*job.Journal).Redo)
	get(s, "/api/jobs/{job}/edits", "list-edits", "Every step that can be taken back", func(ctx context.Context, in *JobPath) (*EditList, error) {
		return onJob(s, in.Job, func(x *session) (*EditList, error) {
			list, at, err := x.journal.Entries()
			return &EditList{At: at, Entries: list}, err
		})
	})
}

// labelOf names a step that the asker does not name.
func labelOf(label string, edits []job.Edit) string {
	switch {
	case label != "":
		return label
	case len(edits) == 0:
		return "edit the text"
	case edits[0].Op == "rename":
		return "rename " + edits[0].From
	}
	return edits[0].Op + " " + edits[0].Key
}

// onJob does something on a job of the workspace.
func onJob[T any](s *Server, id string, do func(*session) (*T, error)) (*T, error) {
	x, err := s.session(id)
	if err != nil {
		return nil, err
	}
	out, err := do(x)
	if err != nil {
		return nil, err
	}
	return out, nil
}

// change edits the job file.
func (s *Server) change(id, base, label string, dry bool, do func([]byte) ([]byte, error)) (*FileState, error) {
	return onJob(s, id, func(x *session) (*FileState, error) {
		if dry {
			return x.fileState(x.journal.Try(base, do))
		}
		return x.fileState(x.journal.Change(base, label, do))
	})
}

// fileState reads the job file for who edits it.
func (x *session) fileState(st *job.JournalState, err error) (*FileState, error) {
	if err != nil {
		return nil, err
	}
	in := remember(x, "inspect", st.Text, func() *job.Inspection { return job.Inspect(x.dir, st.Text, x.options()) })
	return &FileState{
		Version: st.Version, Text: string(st.Text), Readable: in.Readable, Doc: in.Doc, Places: in.Places, Faults: in.Faults,
		Undo: st.Undo, Redo: st.Redo,
	}, nil
}
