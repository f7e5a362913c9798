// Command workbench measures the server: many clients that poll and follow
// events while one of them runs jobs, and the memory over many runs.
//
//	go run ./bench/workbench            50 clients for 20 s
//	go run ./bench/workbench -runs 1000 memory over 1000 runs
package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"time"

	"sinew/workbench"
)

func main() {
	clients := flag.Int("clients", 50, "clients that poll and follow events")
	seconds := flag.Int("seconds", 20, "how long")
	runs := flag.Int("runs", 0, "measure memory over this many runs instead")
	examples := flag.String("examples", "examples", "folder of the example jobs")
	flag.Parse()
	dir, err := os.MkdirTemp("", "workbench")
	check(err)
	defer os.RemoveAll(dir)
	for _, name := range []string{"hanger", "open-hole"} {
		check(os.CopyFS(filepath.Join(dir, name), os.DirFS(filepath.Join(*examples, name))))
	}
	begin := time.Now()
	processors := runtime.GOMAXPROCS(0)
	runtime.GOMAXPROCS(processors + 4) // as sinew serve does
	s, err := workbench.New(workbench.Options{Dir: dir, Workers: processors})
	check(err)
	fmt.Printf("server made in %v\n", time.Since(begin).Round(time.Millisecond))
	h := httptest.NewServer(s)
	if *runs > 0 {
		memory(h.URL, *runs)
	} else {
		load(h.URL, *clients, time.Duration(*seconds)*time.Second)
	}
	s.Close()
	h.Close()
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "workbench bench:", err)
		os.Exit(1)
	}
}

// request sends a request and returns how long the whole answer took.
func request(client *http.Client, method, url string, body any) (time.Duration, []byte) {
	var r io.Reader
	if body != nil {
		data, err := json.Marshal(body)
		check(err)
		r = bytes.NewReader(data)
	}
	req, err := http.NewRequest(method, url, r)
	check(err)
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	begin := time.Now()
	res, err := client.Do(req)
	check(err)
	data, err := io.ReadAll(res.Body)
	check(err)
	res.Body.Close()
	return time.Since(begin), data
}

// runOnce starts a run and waits for its end.
func runOnce(base, job, stage string) string {
	request(http.DefaultClient, "POST", base+"/api/jobs/"+job+"/runs", map[string]any{"stage": stage})
	for {
		_, data := request(http.DefaultClient, "GET", base+"/api/jobs/"+job+"/runs/current", nil)
		var st struct{ State string }
		check(json.Unmarshal(data, &st))
		if st.State != "running" && st.State != "waiting" {
			return st.State
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// must insists on a run that was carried out.
func must(state string) {
	if state != "done" {
		check(fmt.Errorf("a run ended %s", state))
	}
}

// setForce edits a load, so that the next run has something to do.
func setForce(base, job string, newton int) {
	_, data := request(http.DefaultClient, "GET", base+"/api/jobs/"+job+"/file", nil)
	var f struct{ Version string }
	check(json.Unmarshal(data, &f))
	edit := map[string]any{"op": "set", "key": "case[0].load[0].force", "value": fmt.Sprintf("%d N", newton)}
	request(http.DefaultClient, "PATCH", base+"/api/jobs/"+job+"/file", map[string]any{"base": f.Version, "edits": []any{edit}})
}

// follow reads events until the server ends.
func follow(client *http.Client, url string) {
	res, err := client.Get(url)
	check(err)
	go io.Copy(io.Discard, res.Body)
}

// memory runs a job many times, with something to do in every fiftieth run,
// and tells what the program holds after a collection.
func memory(base string, runs int) {
	fmt.Println("| runs | heap MiB | goroutines |\n|---|---|---|")
	for n := range runs + 1 {
		if n%50 == 0 {
			setForce(base, "open-hole", 10_000+n%7)
		}
		must(runOnce(base, "open-hole", "prove"))
		if n%(runs/10) == 0 {
			http.DefaultClient.CloseIdleConnections()
			time.Sleep(100 * time.Millisecond)
			runtime.GC()
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			fmt.Printf("| %d | %.1f | %d |\n", n, float64(m.HeapAlloc)/(1<<20), runtime.NumGoroutine())
		}
	}
}

// load times every request of clients that poll a job, follow its events, and
// edit it, while it is run again and again.
func load(base string, clients int, long time.Duration) {
	must(runOnce(base, "hanger", "prove"))
	request(http.DefaultClient, "GET", base+"/api/jobs/hanger/views/field?quantity=index.worst&case=-1", nil) // analysed once: a computation
	request(http.DefaultClient, "GET", base+"/api/jobs/hanger/views/strands", nil)
	paths := []string{"/api/jobs", "/api/jobs/hanger/file", "/api/jobs/hanger/part", "/api/jobs/hanger/result", "/api/jobs/hanger/views", "/api/jobs/hanger/runs/current",
		"/api/jobs/hanger/views/mesh", "/api/jobs/hanger/views/strands", "/api/jobs/hanger/history", "/api/jobs/hanger/cards"}
	end := time.Now().Add(long)
	var mu sync.Mutex
	times := map[string][]time.Duration{}
	var wait sync.WaitGroup
	for c := range clients {
		client := &http.Client{Transport: &http.Transport{}}
		follow(client, base+"/api/jobs/hanger/events")
		wait.Go(func() {
			for i := c; time.Now().Before(end); i++ {
				path := paths[i%len(paths)]
				d, _ := request(client, "GET", base+path, nil)
				mu.Lock()
				times[path] = append(times[path], d)
				mu.Unlock()
				time.Sleep(500 * time.Millisecond)
			}
		})
	}
	n := 0
	for time.Now().Before(end) {
		must(runOnce(base, "open-hole", "prove"))
		setForce(base, "open-hole", 10_000+n%7)
		n++
	}
	wait.Wait()
	fmt.Printf("%d clients, %v, %d runs beside them, load of the machine: see uptime\n", clients, long, n)
	fmt.Println("| route | requests | median ms | 99 % ms | longest ms |\n|---|---|---|---|---|")
	for _, p := range paths {
		t := times[p]
		slices.Sort(t)
		ms := func(q float64) float64 { return float64(t[int(q*float64(len(t)-1))].Microseconds()) / 1000 }
		fmt.Printf("| %s | %d | %.1f | %.1f | %.1f |\n", p, len(t), ms(0.5), ms(0.99), ms(1))
	}
}
