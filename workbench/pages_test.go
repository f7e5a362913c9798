package workbench

import (
	"compress/gzip"
	"io"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
)

func TestPages(t *testing.T) {
	long := strings.Repeat("let x = 1;\n", 1000)
	p := &pages{files: fstest.MapFS{"index.html": {Data: []byte("<!doctype html>start")}, "assets/index.js": {Data: []byte(long)}, "assets/dir/x": {Data: []byte("x")}}}
	rows := []struct {
		method, path, accept, tag string
		status                    int
		body, kind                string
	}{
		{"GET", "/", "", "", 200, "<!doctype html>start", "text/html"},
		{"GET", "/job/hanger", "", "", 200, "<!doctype html>start", "text/html"},
		{"GET", "/index.html", "", "", 200, "<!doctype html>start", "text/html"},
		{"HEAD", "/", "", "", 200, "", "text/html"},
		{"GET", "/assets/index.js", "", "", 200, long, "text/javascript"},
		{"GET", "/assets/index.js", "gzip, br", "", 200, long, "text/javascript"},
		{"GET", "/assets/index.js", "gzip", p.file("assets/index.js").tag, 304, "", ""},
		{"GET", "/assets/index.js", "", `"other"`, 200, long, "text/javascript"},
		{"GET", "/assets/none.js", "", "", 404, "", ""},
		{"GET", "/assets/../../go.mod", "", "", 404, "", ""},
		{"GET", "/api/none", "", "", 404, "", ""},
		{"PUT", "/", "", "", 405, "", ""},
	}
	for _, r := range rows {
		req := httptest.NewRequest(r.method, "http://localhost"+r.path, nil)
		req.Header.Set("Accept-Encoding", r.accept)
		req.Header.Set("If-None-Match", r.tag)
		w := httptest.NewRecorder()
		p.ServeHTTP(w, req)
		var in io.Reader = w.Body
		if w.Header().Get("Content-Encoding") == "gzip" {
			z, err := gzip.NewReader(w.Body)
			if err != nil {
				t.Fatal(err)
			}
			in = z
		} else if strings.Contains(r.accept, "gzip") && r.status == 200 {
			t.Errorf("%s: not packed", r.path)
		}
		body, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		if w.Code != r.status || r.status == 200 && string(body) != r.body || !strings.HasPrefix(w.Header().Get("Content-Type"), r.kind) {
			t.Errorf("%s %s: status %d, %d bytes, %q", r.method, r.path, w.Code, len(body), w.Header().Get("Content-Type"))
		}
	}
}
