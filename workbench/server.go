package workbench

import (
	"io/fs"
	"net/http"
	"sync"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"sinew/job"
	"sinew/web"
)

// Options steers a server; the zero value of a field means its default.
type Options struct {
	Dir     string   // the workspace: a job's folder, or a folder of jobs
	Cards   string   // folder of the user's cards
	Workers int      // processors of a run; default all
	Token   string   // who has it may come in; empty: everyone who reaches the server
	Names   []string // host names under which the server may be reached, besides IP addresses and localhost
}

// Server is the workbench of one workspace.
type Server struct {
	opt     Options
	space   *workspace
	api     huma.API
	handler http.Handler

	closing chan struct{}
	turns   chan struct{}  // a place for each run at a time
	work    sync.WaitGroup // runs

	mu       sync.Mutex
	closed   bool
	sessions map[string]*session
}

// runsAtOnce is how many jobs are run at the same time; each uses all
// processors.
const runsAtOnce = 2

// New returns the server of a workspace.
func New(o Options) (*Server, error) {
	space, err := openWorkspace(o.Dir)
	if err != nil {
		return nil, err
	}
	s := &Server{opt: o, space: space, sessions: map[string]*session{}, closing: make(chan struct{}), turns: make(chan struct{}, runsAtOnce)}
	page, err := fs.Sub(web.Files, "dist")
	if err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	s.api = humago.New(mux, apiConfig())
	s.register()
	mux.Handle("/", &pages{files: page})
	s.handler = s.guard(mux)
	return s, nil
}

// apiConfig describes the interface as a whole. The library's page of
// documents is off: it loads scripts from elsewhere.
func apiConfig() huma.Config {
	c := huma.DefaultConfig("sinew workbench", job.Version)
	c.Info.Description = "The whole job over HTTP: workspace, job file, part, runs, results, views, cards. Lengths mm, angles degrees, N, MPa, s, g."
	c.OpenAPIPath, c.DocsPath, c.SchemasPath = "/api/openapi", "", ""
	c.CreateHooks = nil
	return c
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// register adds every route.
func (s *Server) register() {
	s.registerWorkspace()
	s.registerFile()
	s.registerPart()
	s.registerFiles()
	s.registerRuns()
	s.registerEvents()
	s.registerResults()
	s.registerViews()
	s.registerCards()
}

// session returns the session of a job, made on first use.
func (s *Server) session(id string) (*session, error) {
	dir, err := s.space.folder(id)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if x := s.sessions[id]; x != nil {
		return x, nil
	}
	x := newSession(s, id, dir)
	s.sessions[id] = x
	return x, nil
}

// Close cancels what runs, waits for it to stop, and lets go of who follows
// events.
func (s *Server) Close() {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return
	}
	s.closed = true
	close(s.closing)
	for _, x := range s.sessions {
		x.mu.Lock()
		if x.run != nil {
			x.run.cancel()
		}
		x.mu.Unlock()
	}
	s.mu.Unlock()
	s.work.Wait()
}
