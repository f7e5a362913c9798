package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// startServer runs "sinew serve" as a process of its own and returns its
// address.
func startServer(t *testing.T, dir string, args ...string) (cmd *exec.Cmd, address string) {
	t.Helper()
	cmd = exec.Command("sinew", append([]string{"serve", dir, "--no-browser", "--quiet", "--listen", "127.0.0.1:0"}, args...)...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		cmd.Process.Kill() // it has ended by itself in most tests
		cmd.Wait()
	})
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatalf("no address: %v", err)
	}
	return cmd, strings.TrimRight(strings.TrimSpace(line), "/")
}

// ask sends a request and reads the JSON answer.
func ask(t *testing.T, method, url string, body any) (int, map[string]any) {
	t.Helper()
	var in io.Reader
	if body != nil {
		data, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		in = bytes.NewReader(data)
	}
	req, err := http.NewRequest(method, url, in)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var out map[string]any
	if err := json.NewDecoder(res.Body).Decode(&out); err != nil {
		t.Fatalf("%s %s: %v", method, url, err)
	}
	return res.StatusCode, out
}

// TestServeKilled kills the server while it runs a job, and finds every edit
// that was answered, the way back, and no lock, when it is started again.
func TestServeKilled(t *testing.T) {
	dir := t.TempDir()
	if err := copyFolder(filepath.Join(dir, "small"), filepath.Join("testdata", "small")); err != nil {
		t.Fatal(err)
	}
	server, address := startServer(t, dir)
	_, file := ask(t, "GET", address+"/api/jobs/small/file", nil)
	first := file["text"]
	for _, note := range []string{"one", "two"} {
		edit := map[string]any{"base": file["version"], "edits": []any{map[string]any{"op": "set", "key": "note", "value": note}}}
		var code int
		if code, file = ask(t, "PATCH", address+"/api/jobs/small/file", edit); code != 200 {
			t.Fatalf("status %d: %v", code, file)
		}
	}
	if code, run := ask(t, "POST", address+"/api/jobs/small/runs", map[string]any{"stage": "run"}); code != 202 {
		t.Fatalf("status %d: %v", code, run)
	}
	if err := server.Process.Signal(syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	server.Wait() // says that it was killed

	_, address = startServer(t, dir)
	_, again := ask(t, "GET", address+"/api/jobs/small/file", nil)
	if again["text"] != file["text"] || again["undo"] == nil {
		t.Errorf("after the kill: undo %v, text %v", again["undo"], again["text"])
	}
	for range 2 {
		_, again = ask(t, "POST", address+"/api/jobs/small/undo", map[string]any{"base": again["version"]})
	}
	if again["text"] != first {
		t.Errorf("two steps back: %v", again["text"])
	}
	if code, run := ask(t, "POST", address+"/api/jobs/small/runs", map[string]any{"stage": "lay"}); code != 202 {
		t.Errorf("a run after the kill: status %d: %v", code, run)
	}
}

// TestServeEnds interrupts the server while a run is under way and a page
// follows: it ends by itself, without results.
func TestServeEnds(t *testing.T) {
	dir := t.TempDir()
	if err := copyFolder(filepath.Join(dir, "small"), filepath.Join("testdata", "small")); err != nil {
		t.Fatal(err)
	}
	server, address := startServer(t, dir)
	res, err := http.Get(address + "/api/jobs/small/events")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	ask(t, "POST", address+"/api/jobs/small/runs", map[string]any{"stage": "run"})
	if err := server.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Wait() }()
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("ended with %v", err)
		}
	case <-time.After(time.Minute):
		t.Error("did not end")
	}
	left, err := filepath.Glob(filepath.Join(dir, "small", "*.lock"))
	if err != nil || len(left) > 0 {
		t.Errorf("left %v, %v", left, err)
	}
}

// TestServeToken lets in who shows the token.
func TestServeToken(t *testing.T) {
	_, address := startServer(t, t.TempDir(), "--token", "new")
	base, token, ok := strings.Cut(address, "/?token=")
	if !ok || len(token) < leastToken {
		t.Fatalf("address %q", address)
	}
	if code, _ := ask(t, "GET", base+"/api/jobs", nil); code != 401 {
		t.Errorf("without the token: status %d", code)
	}
}
