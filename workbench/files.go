package workbench

import (
	"context"
	"io"
	"net/http"
	"path/filepath"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// Created is the answer of a route that makes something.
type Created[T any] struct{ Body T }

// NewJobForm is a name and, where the part is there already, its drawing.
type NewJobForm struct {
	RawBody huma.MultipartFormFiles[struct {
		Name string        `form:"name" required:"true" doc:"folder to make"`
		File huma.FormFile `form:"file" contentType:"application/octet-stream" required:"false" doc:"drawing or solid; left out: a sample plate"`
	}]
}

// Made says what was made.
type Made struct {
	ID string `json:"id" doc:"names the job in addresses"`
}

// CopyJob asks for a copy.
type CopyJob struct {
	JobPath
	Body struct {
		Name string `json:"name" maxLength:"100" doc:"folder to make"`
	}
}

// FileForm is an upload into a job's folder.
type FileForm struct {
	JobPath
	Replace bool `query:"replace" doc:"take the place of a file of the same name"`
	RawBody huma.MultipartFormFiles[struct {
		File huma.FormFile `form:"file" contentType:"application/octet-stream" required:"true" doc:"drawing or solid"`
	}]
}

// FileName names a file in a job's folder.
type FileName struct {
	Name string `json:"name"`
}

// FileList lists drawings and solids.
type FileList struct {
	Files []job.DrawingFile `json:"files"`
}

func (s *Server) registerFiles() {
	create(s, "/api/jobs", "new-job", "Make a job from a drawing, or from a sample", func(ctx context.Context, in *NewJobForm) (*Made, error) {
		return s.newJob(in)
	})
	create(s, "/api/jobs/{job}/copy", "copy-job", "Copy a job, without its results", func(ctx context.Context, in *CopyJob) (*Made, error) {
		return onJob(s, in.Job, func(x *session) (*Made, error) {
			to, err := s.space.newFolder(in.Body.Name)
			if err != nil {
				return nil, err
			}
			return &Made{in.Body.Name}, job.Copy(x.dir, to)
		})
	})
	create(s, "/api/jobs/{job}/files", "upload-file", "Put a drawing or solid into the job's folder", func(ctx context.Context, in *FileForm) (*FileName, error) {
		return onJob(s, in.Job, func(x *session) (*FileName, error) { return x.upload(&in.RawBody.Data().File, in.Replace) })
	})
	get(s, "/api/jobs/{job}/files", "list-files", "Drawings and solids in the job's folder", func(ctx context.Context, in *JobPath) (*FileList, error) {
		return onJob(s, in.Job, func(x *session) (*FileList, error) {
			list, err := job.Drawings(x.dir)
			return &FileList{list}, err
		})
	})
}

// create registers a route that makes something: 201.
func create[I, O any](s *Server, path, id, summary string, f func(context.Context, *I) (*O, error)) {
	register(s, huma.Operation{Method: http.MethodPost, Path: path, OperationID: id, Summary: summary, DefaultStatus: http.StatusCreated}, f)
}

func (s *Server) newJob(in *NewJobForm) (*Made, error) {
	form := in.RawBody.Data()
	dir, err := s.space.newFolder(form.Name)
	if err != nil {
		return nil, err
	}
	var name string
	var data []byte
	if form.File.IsSet {
		if name, data, err = readUpload(&form.File); err != nil {
			return nil, err
		}
	}
	if _, err := job.New(dir, name, data); err != nil {
		return nil, err
	}
	return &Made{form.Name}, nil
}

// readUpload checks name and content of a file.
func readUpload(f *huma.FormFile) (name string, data []byte, err error) {
	defer f.Close()
	name = filepath.Base(filepath.FromSlash(strings.ReplaceAll(f.Filename, `\`, "/")))
	if err := checkName(name); err != nil {
		return "", nil, problem(http.StatusUnprocessableEntity, "the file's name: %v", err)
	}
	most := job.MaxUpload(name)
	if f.Size > most {
		return "", nil, problem(http.StatusRequestEntityTooLarge, "the file has %d bytes, more than %d; simplify it", f.Size, most)
	}
	if data, err = io.ReadAll(io.LimitReader(f, most)); err != nil {
		return "", nil, err
	}
	return name, data, job.CheckDrawing(name, data)
}

// upload writes a file beside the job file, as a step that can be taken back.
func (x *session) upload(f *huma.FormFile, replace bool) (*FileName, error) {
	name, data, err := readUpload(f)
	if err != nil {
		return nil, err
	}
	err = x.journal.PutFile(name, "bring in "+name, data, replace)
	return &FileName{name}, err
}
