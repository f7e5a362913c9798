package workbench

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestLinksLeadNowhere puts links into a job that point at a file and a folder
// outside, and asks every way to read or write through them.
func TestLinksLeadNowhere(t *testing.T) {
	outside := t.TempDir()
	secret := filepath.Join(outside, "secret.dxf")
	if err := os.WriteFile(secret, []byte("the secret"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct{ link, to string }{
		{"hanger.dxf", secret}, {"out", outside}, {"cards", outside}, {".sinew", outside}, {"job.toml", secret},
	} {
		t.Run(row.link, func(t *testing.T) {
			s, h := newServer(t, Options{}, "hanger")
			path := filepath.Join(s.space.root, "hanger", row.link)
			if err := os.RemoveAll(path); err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(row.to, path); err != nil {
				t.Fatal(err)
			}
			for _, try := range []struct{ method, path string }{
				{"GET", "/file"}, {"GET", "/part"}, {"GET", "/result"}, {"GET", "/dossier"}, {"GET", "/program"}, {"GET", "/cards/tow/secret"}, {"GET", "/history"}, {"GET", "/files"}, {"POST", "/runs"}, {"POST", "/quick"},
			} {
				var body []byte
				var in any
				if try.path == "/runs" {
					in = map[string]any{"stage": "lay"}
				}
				if code := call(t, h.URL, try.method, "/api/jobs/hanger"+try.path, in, &body); strings.Contains(string(body), "the secret") || try.path == "/runs" && code == 202 {
					t.Errorf("%s %s: status %d: %s", try.method, try.path, code, body)
				}
			}
			upload(t, h.URL+"/api/jobs/hanger/files?replace=true", nil, "hanger.dxf", []byte("0\nSECTION\n0\nENDSEC\n0\nEOF\n"), nil)
			if data, err := os.ReadFile(secret); err != nil || string(data) != "the secret" {
				t.Errorf("the file outside became %q, %v", data, err)
			}
			if left, err := os.ReadDir(outside); err != nil || len(left) != 1 {
				t.Errorf("outside there is %v, %v", left, err)
			}
		})
	}
}

func TestOversize(t *testing.T) {
	_, h := newServer(t, Options{}, "hanger")
	req, err := http.NewRequest("POST", h.URL+"/api/jobs", strings.NewReader("x"))
	if err != nil {
		t.Fatal(err)
	}
	req.ContentLength = maxUploadBytes + 1
	req.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	if res, err := http.DefaultClient.Do(req); err == nil { // the client itself may notice that it sends too little
		res.Body.Close()
		if res.StatusCode != 413 {
			t.Errorf("status %d", res.StatusCode)
		}
	}
	for name, body := range map[string]string{"no boundary": "", "cut short": "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.dxf\"\r\n\r\nabc", "no form": "hello"} {
		req, err := http.NewRequest("POST", h.URL+"/api/jobs", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		if code := send(t, req, nil); code < 400 || code >= 500 {
			t.Errorf("%s: status %d", name, code)
		}
	}
}

// TestScriptsStayText writes markup wherever a job takes text, and looks that
// it comes back as data: JSON that cannot be taken for a page, and a report in
// which it is escaped and may not run.
func TestScriptsStayText(t *testing.T) {
	const script = `<script>alert("x")</script><img src=x onerror=alert(1)>`
	_, h := newServer(t, Options{}, "open-hole")
	coarsen(t, h.URL, "open-hole")
	var f, g FileState
	call(t, h.URL, "GET", "/api/jobs/open-hole/file", nil, &f)
	edits := []any{
		map[string]any{"op": "set", "key": "name", "value": script}, map[string]any{"op": "set", "key": "note", "value": script},
		map[string]any{"op": "set", "key": "case[0].name", "value": script}, map[string]any{"op": "set", "key": "layup.family[0].name", "value": script},
		map[string]any{"op": "set", "key": "probe[0].name", "value": script}, map[string]any{"op": "rename", "from": "hole", "value": script},
	}
	if code := call(t, h.URL, "PATCH", "/api/jobs/open-hole/file", map[string]any{"base": f.Version, "edits": edits}, &g); code != 200 || len(g.Faults) > 0 {
		t.Fatalf("status %d, %v", code, g.Faults)
	}
	events := followEvents(t, h.URL, "open-hole")
	if code := call(t, h.URL, "POST", "/api/jobs/open-hole/runs", map[string]any{"stage": "run"}, nil); code != 202 {
		t.Fatalf("status %d", code)
	}
	await(t, events, "run", inState("done"))
	for _, path := range []string{"dossier", "program", "result", "file", "history"} {
		res, err := http.Get(h.URL + "/api/jobs/open-hole/" + path)
		if err != nil {
			t.Fatal(err)
		}
		var body []byte
		req, _ := http.NewRequest("GET", h.URL+"/api/jobs/open-hole/"+path, nil)
		send(t, req, &body)
		res.Body.Close()
		csp, kind := res.Header.Get("Content-Security-Policy"), res.Header.Get("Content-Type")
		if !strings.Contains(csp, "default-src 'none'") || !strings.Contains(csp, "sandbox") || res.Header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: policy %q", path, csp)
		}
		if strings.HasPrefix(kind, "text/html") && strings.Contains(string(body), "<script>alert") {
			t.Errorf("%s holds the script", path)
		}
		if path != "dossier" && strings.HasPrefix(kind, "text/html") {
			t.Errorf("%s is %s", path, kind)
		}
	}
}
