package workbench

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"sync"
)

// pages serves the built page. Addresses within the page, which have no
// extension, all answer with its start.
type pages struct {
	files fs.FS
	mu    sync.Mutex
	kept  map[string]*pageFile
}

// pageFile is a file ready to be sent; tag changes with its content, so that a
// browser asks again but is not sent what it has.
type pageFile struct {
	kind, tag    string
	data, packed []byte
}

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
	f := p.file(name)
	if f == nil {
		http.NotFound(w, r)
		return
	}
	f.send(w, r)
}

// file reads a file of the page once.
func (p *pages) file(name string) *pageFile {
	p.mu.Lock()
	defer p.mu.Unlock()
	if f := p.kept[name]; f != nil {
		return f
	}
	data, err := fs.ReadFile(p.files, name)
	if err != nil {
		return nil
	}
	sum := sha256.Sum256(data)
	f := &pageFile{kind: mime.TypeByExtension(path.Ext(name)), tag: `"` + hex.EncodeToString(sum[:12]) + `"`, data: data}
	if f.kind == "" {
		f.kind = "application/octet-stream"
	}
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	z.Write(data) // writing to memory does not fail
	z.Close()
	if b.Len() < len(data) {
		f.packed = b.Bytes()
	}
	if p.kept == nil {
		p.kept = map[string]*pageFile{}
	}
	p.kept[name] = f
	return f
}

func (f *pageFile) send(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", pagePolicy)
	h.Set("Cache-Control", "no-cache")
	h.Set("Content-Type", f.kind)
	h.Set("ETag", f.tag)
	h.Set("Vary", "Accept-Encoding")
	if r.Header.Get("If-None-Match") == f.tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	data := f.data
	if f.packed != nil && strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		h.Set("Content-Encoding", "gzip")
		data = f.packed
	}
	if r.Method == http.MethodGet {
		w.Write(data) // a client that went away reads nothing
	}
}
