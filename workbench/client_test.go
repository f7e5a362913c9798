package workbench

import (
	"bytes"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"testing"
)

// call sends a request and reads the JSON answer into out (nil: dropped). It
// returns the status.
func call(t *testing.T, base, method, path string, body, out any) int {
	t.Helper()
	var r io.Reader
	if body != nil {
		data, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		r = bytes.NewReader(data)
	}
	req, err := http.NewRequest(method, base+path, r)
	if err != nil {
		t.Fatal(err)
	}
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	return send(t, req, out)
}

func send(t *testing.T, req *http.Request, out any) int {
	t.Helper()
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	describeOnce().check(t, req.Method, req.URL.EscapedPath(), res.StatusCode, res.Header.Get("Content-Type"), data)
	switch out := out.(type) {
	case nil:
	case *[]byte:
		*out = data
	default:
		if err := json.Unmarshal(data, out); err != nil {
			t.Fatalf("%s %s: %v in %s", req.Method, req.URL, err, data)
		}
	}
	return res.StatusCode
}

// upload sends a multipart form with one file (none where name is "").
func upload(t *testing.T, url string, fields map[string]string, name string, data []byte, out any) int {
	t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for k, v := range fields {
		if err := w.WriteField(k, v); err != nil {
			t.Fatal(err)
		}
	}
	if name != "" {
		f, err := w.CreateFormFile("file", name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write(data); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	req, err := http.NewRequest("POST", url, &body)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", w.FormDataContentType())
	return send(t, req, out)
}
