package workbench

import (
	"io/fs"
	"net/http"
	"path"
	"strings"
)

// pages serves the built page. Addresses within the page, which have no
// extension, all answer with its start.
type pages struct{ files fs.FS }

// ServeHTTP serves one file of the page.
func (p *pages) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		http.Error(w, "only GET", http.StatusMethodNotAllowed)
		return
	}
	name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
	if strings.HasPrefix(name, "api/") || name == "api" {
		http.NotFound(w, r)
		return
	}
	if name == "" || path.Ext(name) == "" {
		name = "index.html"
	}
	if info, err := fs.Stat(p.files, name); err != nil || info.IsDir() {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Security-Policy", pagePolicy)
	if strings.HasPrefix(name, "assets/") { // their names hold a hash of their content
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	} else {
		w.Header().Set("Cache-Control", "no-cache")
	}
	http.ServeFileFS(w, r, p.files, name)
}
