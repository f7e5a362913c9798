package workbench

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// newServer serves a fresh workspace that holds the named example jobs.
func newServer(t *testing.T, o Options, examples ...string) (*Server, *httptest.Server) {
	t.Helper()
	if o.Dir == "" {
		o.Dir = t.TempDir()
	}
	for _, name := range examples {
		copyExample(t, name, o.Dir)
	}
	s, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	h := httptest.NewServer(s)
	t.Cleanup(func() {
		s.Close()
		h.Close()
	})
	return s, h
}

func TestGuard(t *testing.T) {
	const token = "a-token-of-enough-length"
	rows := []struct {
		name   string
		opt    Options
		method string
		path   string
		host   string
		header map[string]string
		want   int
	}{
		{name: "own page", path: "/", want: 200},
		{name: "own address", path: "/api/jobs", want: 200},
		{name: "localhost", path: "/api/jobs", host: "localhost:1234", want: 200},
		{name: "address of version six", path: "/api/jobs", host: "[::1]:1234", want: 200},
		{name: "a name turned to point here", path: "/api/jobs", host: "evil.example:1234", want: 403},
		{name: "a name that begins like localhost", path: "/api/jobs", host: "localhost.evil.example", want: 403},
		{name: "no host", path: "/api/jobs", host: ".", want: 403},
		{name: "a name that was given", opt: Options{Names: []string{"bench.local"}}, path: "/api/jobs", host: "bench.local:99", want: 200},
		{name: "foreign origin", path: "/api/jobs", header: map[string]string{"Origin": "http://evil.example"}, want: 403},
		{name: "origin of another port", path: "/api/jobs", header: map[string]string{"Origin": "http://127.0.0.1:1"}, want: 403},
		{name: "opaque origin", path: "/api/jobs", header: map[string]string{"Origin": "null"}, want: 403},
		{name: "image on a foreign page", path: "/api/jobs", header: map[string]string{"Sec-Fetch-Site": "cross-site"}, want: 403},
		{name: "link on a foreign page", path: "/", header: map[string]string{"Sec-Fetch-Site": "cross-site"}, want: 200},
		{name: "token missing", opt: Options{Token: token}, path: "/api/jobs", want: 401},
		{name: "token missing for the page", opt: Options{Token: token}, path: "/", want: 401},
		{name: "token wrong", opt: Options{Token: token}, path: "/api/jobs", header: map[string]string{"Authorization": "Bearer no"}, want: 401},
		{name: "token right", opt: Options{Token: token}, path: "/api/jobs", header: map[string]string{"Authorization": "Bearer " + token}, want: 200},
		{name: "token as cookie", opt: Options{Token: token}, path: "/api/jobs", header: map[string]string{"Cookie": tokenCookie + "=" + token}, want: 200},
		{name: "token in the address of the interface", opt: Options{Token: token}, path: "/api/jobs?token=" + token, want: 401},
		{name: "token in the address of the page", opt: Options{Token: token}, path: "/?token=" + token, want: 303},
		{name: "page posted to", method: "POST", path: "/", want: 405},
		{name: "no such route", path: "/api/nothing", want: 404},
		{name: "up and out of the page", path: "/../../etc/passwd", want: 200}, // cleaned: the page itself
		{name: "up and out, encoded", path: "/%2e%2e/%2e%2e/go.mod", want: 404},
		{name: "no such file", path: "/assets/none.js", want: 404},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			s, _ := newServer(t, r.opt)
			method := r.method
			if method == "" {
				method = "GET"
			}
			req := httptest.NewRequest(method, "http://127.0.0.1:1234"+r.path, nil)
			if r.host != "" {
				req.Host = r.host
			}
			for k, v := range r.header {
				req.Header.Set(k, v)
			}
			w := httptest.NewRecorder()
			s.ServeHTTP(w, req)
			if w.Code == http.StatusMovedPermanently || w.Code == http.StatusTemporaryRedirect { // the router cleans paths
				req = httptest.NewRequest(method, "http://127.0.0.1:1234"+w.Header().Get("Location"), nil)
				w = httptest.NewRecorder()
				s.ServeHTTP(w, req)
			}
			if w.Code != r.want {
				t.Errorf("status %d, want %d: %s", w.Code, r.want, w.Body)
			}
			if csp := w.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "default-src 'none'") {
				t.Errorf("policy %q", csp)
			}
		})
	}
}

func TestTokenLeavesTheAddress(t *testing.T) {
	const token = "a-token-of-enough-length"
	s, _ := newServer(t, Options{Token: token})
	w := httptest.NewRecorder()
	s.ServeHTTP(w, httptest.NewRequest("GET", "http://127.0.0.1:1//evil.example/?a=b&token="+token, nil))
	for w.Code == http.StatusMovedPermanently || w.Code == http.StatusTemporaryRedirect {
		to := w.Header().Get("Location")
		w = httptest.NewRecorder()
		s.ServeHTTP(w, httptest.NewRequest("GET", "http://127.0.0.1:1"+to, nil))
	}
	to := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || strings.Contains(to, token) || strings.HasPrefix(to, "//") {
		t.Errorf("status %d, to %q", w.Code, to)
	}
	c := w.Result().Cookies()
	if len(c) != 1 || !c[0].HttpOnly || c[0].SameSite != http.SameSiteStrictMode {
		t.Errorf("cookies %v", c)
	}
}
