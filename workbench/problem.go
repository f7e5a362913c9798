package workbench

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"reflect"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// Problem is the answer to a request that was refused (RFC 9457).
type Problem struct {
	Title  string              `json:"title,omitempty" doc:"the status in words"`
	Status int                 `json:"status,omitempty"`
	Detail string              `json:"detail,omitempty" doc:"what is wrong, and what to do"`
	Errors []*huma.ErrorDetail `json:"errors,omitempty" doc:"what the form of the request violates"`
	Faults []job.Fault         `json:"faults,omitempty" doc:"what is wrong with the input, place by place"`
	// Conflict shows both sides of a change that was based on an old version.
	Conflict *Conflict `json:"conflict,omitempty" doc:"both sides of a change that was based on an old version"`
}

// Conflict shows both sides. To keep yours: make the same change again with
// their version as its base.
type Conflict struct {
	File         string `json:"file"`
	BaseKnown    bool   `json:"base_known" doc:"the version that your change is based on is still kept"`
	BaseText     string `json:"base_text"`
	YourText     string `json:"your_text" doc:"your change on its base; empty where that is not known"`
	TheirText    string `json:"their_text" doc:"what is on disk now"`
	TheirVersion string `json:"their_version"`
}

// Error gives the detail.
func (p *Problem) Error() string { return p.Detail }

// GetStatus gives the HTTP status.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType is that of problems.
func (p *Problem) ContentType(string) string { return "application/problem+json" }

func problem(status int, format string, args ...any) *Problem {
	return &Problem{Title: http.StatusText(status), Status: status, Detail: fmt.Sprintf(format, args...)}
}

// writeProblem answers outside the interface's own routes.
func writeProblem(w http.ResponseWriter, p *Problem) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	json.NewEncoder(w).Encode(p) // a client that went away reads nothing
}

// asProblem gives an error of the engine its status. What is no fault of the
// request is a 500 with the engine's own words.
func asProblem(err error) error {
	var already *Problem
	var input *job.InputError
	var missing *job.MissingError
	var both *job.ConflictError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &already):
		return already
	case errors.As(err, &both):
		p := problem(http.StatusConflict, "%v", err)
		p.Conflict = &Conflict{both.File, both.BaseKnown, string(both.Base), string(both.Yours), string(both.Theirs), both.TheirVersion}
		return p
	case errors.As(err, &missing):
		return problem(http.StatusNotFound, "%s", missing.Error())
	case errors.As(err, &input):
		p := problem(http.StatusUnprocessableEntity, "%s", input.Error())
		p.Faults = input.Faults
		return p
	case errors.Is(err, job.ErrLocked):
		return problem(http.StatusLocked, "%v", err)
	case errors.Is(err, fs.ErrNotExist):
		return problem(http.StatusNotFound, "there is no such file")
	case errors.Is(err, context.Canceled):
		return problem(http.StatusConflict, "cancelled")
	}
	return problem(http.StatusInternalServerError, "%v", err)
}

// problemSchema describes Problem.
func (s *Server) problemSchema() *huma.Schema {
	return s.api.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[Problem](), true, "Problem")
}
