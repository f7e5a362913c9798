package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
)

// Client talks to a server.
type Client struct {
	Address string // http://127.0.0.1:8087
	Token   string // where the server wants one
}

// Fault is one thing wrong with a job.
type Fault struct {
	Key, What, Remedy string
	Line              int
}

// Refusal is the server's answer to a request that it does not carry out.
type Refusal struct {
	Status int
	Detail string
	Faults []Fault
}

// Error gives the server's words.
func (r *Refusal) Error() string { return fmt.Sprintf("%d: %s", r.Status, r.Detail) }

// Progress is how far a run is.
type Progress struct {
	State, Step, Error string
	Share              float64
}

// Record is what we want of the record of a run.
type Record struct {
	Designs []struct {
		Name      string
		Mass      float64 `json:"mass_g"`
		Governing struct {
			Reserve float64 `json:"reserve_factor"`
			Mode    string
		}
	}
}

// View is a binary view: arrays by name.
type View struct {
	Kind    string
	Floats  map[string][]float32
	Indices map[string][]uint32
	Marks   map[string][]byte
}

// do sends a request; in may be nil, an io.Reader or anything that becomes
// JSON, out may be nil.
func (c *Client) do(ctx context.Context, method, path, contentType string, in io.Reader) ([]byte, error) {
	req, err := http.NewRequestWithContext(ctx, method, strings.TrimRight(c.Address, "/")+"/api"+path, in)
	if err != nil {
		return nil, err
	}
	if contentType != "" {
		req.Header.Set("Content-Type", contentType)
	}
	if c.Token != "" {
		req.Header.Set("Authorization", "Bearer "+c.Token)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		return nil, err
	}
	if res.StatusCode >= http.StatusBadRequest {
		r := &Refusal{Status: res.StatusCode}
		if json.Unmarshal(data, r) != nil {
			r.Detail = string(data)
		}
		return nil, r
	}
	return data, nil
}

// call sends and reads JSON.
func (c *Client) call(ctx context.Context, method, path string, in, out any) error {
	var body io.Reader
	contentType := ""
	if in != nil {
		data, err := json.Marshal(in)
		if err != nil {
			return err
		}
		body, contentType = bytes.NewReader(data), "application/json"
	}
	data, err := c.do(ctx, method, path, contentType, body)
	if err != nil || out == nil {
		return err
	}
	return json.Unmarshal(data, out)
}

// NewJob makes a job from a drawing, or from the server's sample, and returns
// the path of its routes.
func (c *Client) NewJob(ctx context.Context, name, drawing string) (job string, err error) {
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	if err := w.WriteField("name", name); err != nil {
		return "", err
	}
	if drawing != "" {
		data, err := os.ReadFile(drawing)
		if err != nil {
			return "", err
		}
		f, err := w.CreateFormFile("file", filepath.Base(drawing))
		if err != nil {
			return "", err
		}
		if _, err := f.Write(data); err != nil {
			return "", err
		}
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	_, err = c.do(ctx, http.MethodPost, "/jobs", w.FormDataContentType(), &body)
	return "/jobs/" + url.PathEscape(name), err
}

// Set gives a key of the job file a value. A conflict with somebody else's
// change is answered by making the change again on theirs.
func (c *Client) Set(ctx context.Context, job, key string, value any) error {
	for {
		var file struct{ Version string }
		if err := c.call(ctx, http.MethodGet, job+"/file", nil, &file); err != nil {
			return err
		}
		var after struct{ Faults []Fault }
		err := c.call(ctx, http.MethodPatch, job+"/file", map[string]any{
			"base": file.Version, "edits": []any{map[string]any{"op": "set", "key": key, "value": value}},
		}, &after)
		var refused *Refusal
		if errors.As(err, &refused) && refused.Status == http.StatusConflict {
			continue
		}
		if err != nil {
			return err
		}
		for _, f := range after.Faults {
			if f.Key == key {
				return fmt.Errorf("%s: %s; %s", f.Key, f.What, f.Remedy)
			}
		}
		return nil
	}
}

// Run carries the job's stages out and shows progress. Cancelling the context
// cancels the run.
func (c *Client) Run(ctx context.Context, job, stage string, show func(Progress)) error {
	follow, stop := context.WithCancel(ctx)
	defer stop()
	events, err := c.events(follow, job)
	if err != nil {
		return err
	}
	var run struct{ ID string }
	if err := c.call(ctx, http.MethodPost, job+"/runs", map[string]any{"stage": stage}, &run); err != nil {
		return err
	}
	for e := range events {
		var p struct {
			ID string
			Progress
		}
		if e.name != "run" || json.Unmarshal(e.data, &p) != nil || p.ID != run.ID {
			continue
		}
		switch p.State {
		case "done":
			return nil
		case "failed", "cancelled":
			return errors.New(p.Error)
		}
		show(p.Progress)
	}
	if ctx.Err() == nil {
		return errors.New("the server ended")
	}
	if err := c.call(context.WithoutCancel(ctx), http.MethodDelete, job+"/runs/current", nil, nil); err != nil {
		return err
	}
	return ctx.Err()
}

// event is one server-sent event.
type event struct {
	name string
	data []byte
}

// events follows a job until the context ends.
func (c *Client) events(ctx context.Context, job string) (<-chan event, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, strings.TrimRight(c.Address, "/")+"/api"+job+"/events", nil)
	if err != nil {
		return nil, err
	}
	if c.Token != "" {
		req.Header.Set("Authorization", "Bearer "+c.Token)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	if res.StatusCode != http.StatusOK {
		res.Body.Close()
		return nil, &Refusal{Status: res.StatusCode, Detail: res.Status}
	}
	out := make(chan event)
	go func() {
		defer close(out)
		defer res.Body.Close()
		var e event
		for lines := bufio.NewScanner(res.Body); lines.Scan(); {
			switch name, value, _ := strings.Cut(lines.Text(), ": "); name {
			case "event":
				e.name = value
			case "data":
				e.data = []byte(value)
			case "":
				select {
				case out <- e:
				case <-ctx.Done():
					return
				}
				e = event{}
			}
		}
	}()
	return out, nil
}

// Result returns the record of the last run.
func (c *Client) Result(ctx context.Context, job string) (*Record, error) {
	var out struct{ Record Record }
	err := c.call(ctx, http.MethodGet, job+"/result", nil, &out)
	return &out.Record, err
}

// Quick analyses the strands as laid under the loads as they are now.
func (c *Client) Quick(ctx context.Context, job string) (*Record, error) {
	out := new(Record)
	return out, c.call(ctx, http.MethodPost, job+"/quick", nil, out)
}

// View fetches a binary view, such as "views/mesh".
func (c *Client) View(ctx context.Context, job, view string) (*View, error) {
	data, err := c.do(ctx, http.MethodGet, job+"/"+view, "", nil)
	if err != nil {
		return nil, err
	}
	return readView(data)
}

// readView takes a binary view apart, as docs/format/interface.md lays it out.
func readView(data []byte) (*View, error) {
	broken := errors.New("this is no view")
	if len(data) < 8 || string(data[:4]) != "SNWV" {
		return nil, broken
	}
	start := 8 + int(binary.LittleEndian.Uint32(data[4:]))
	if start > len(data) {
		return nil, broken
	}
	var head struct {
		Kind   string
		Arrays []struct {
			Name, Type           string
			Items, Count, Offset int
		}
	}
	if err := json.Unmarshal(data[8:start], &head); err != nil {
		return nil, err
	}
	v := &View{Kind: head.Kind, Floats: map[string][]float32{}, Indices: map[string][]uint32{}, Marks: map[string][]byte{}}
	for _, a := range head.Arrays {
		n, width := a.Items*a.Count, 4
		if a.Type == "u8" {
			width = 1
		}
		from := start + a.Offset
		if n < 0 || from < start || from+n*width > len(data) {
			return nil, broken
		}
		part := data[from : from+n*width]
		switch a.Type {
		case "u8":
			v.Marks[a.Name] = part
		case "u32":
			v.Indices[a.Name] = make([]uint32, n)
			for i := range n {
				v.Indices[a.Name][i] = binary.LittleEndian.Uint32(part[4*i:])
			}
		case "f32":
			v.Floats[a.Name] = make([]float32, n)
			for i := range n {
				v.Floats[a.Name][i] = math.Float32frombits(binary.LittleEndian.Uint32(part[4*i:]))
			}
		}
	}
	return v, nil
}
