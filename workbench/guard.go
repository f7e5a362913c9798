package workbench

import (
	"crypto/sha256"
	"crypto/subtle"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// Limits on what a request may send.
const (
	maxBodyBytes   = 8 << 20   // JSON: a job file is at most 1 MiB
	maxUploadBytes = 513 << 20 // drawings and solids, and the form around them
)

// tokenCookie holds the token of a browser that came in with it.
const tokenCookie = "sinew-token"

// pagePolicy is the content-security policy of the page: everything from this
// server, nothing inline; WebAssembly may be compiled, for readers of solids.
const pagePolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; worker-src 'self' blob:; frame-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

// sealedPolicy is that of everything else: nothing in it runs or loads.
const sealedPolicy = "default-src 'none'; frame-ancestors 'self'; sandbox"

// reportPolicy is that of the dossier: its own styles and drawings, no script.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'self'; sandbox"

// guard lets a request through when it comes from where it may: the Host must
// be an address or a name of this server (a name that somebody points here
// later is none), a request of a page must come from this server's own page,
// and where there is a token it must be shown.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Content-Security-Policy", sealedPolicy)
		if strings.HasPrefix(r.URL.Path, "/api") {
			h.Set("Cache-Control", "no-store")
		}
		if p := s.refuse(r); p != nil {
			writeProblem(w, p)
			return
		}
		if s.opt.Token != "" && !s.admit(w, r) {
			return
		}
		limit := int64(maxBodyBytes)
		if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
			limit = maxUploadBytes
		}
		if r.ContentLength > limit {
			h.Set("Connection", "close") // what is on its way is not worth reading
			writeProblem(w, problem(http.StatusRequestEntityTooLarge, "the request is larger than %d bytes", limit))
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		next.ServeHTTP(w, r)
	})
}

// refuse says why a request may not come in; nil: it may.
func (s *Server) refuse(r *http.Request) *Problem {
	if !s.ownHost(r.Host) {
		return problem(http.StatusForbidden, "this server is not called %q: open the address that it printed", r.Host)
	}
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		if err != nil || u.Host != r.Host {
			return problem(http.StatusForbidden, "a page of another origin asks")
		}
	}
	site := r.Header.Get("Sec-Fetch-Site")
	foreign := site == "cross-site" || site == "same-site"
	if foreign && (strings.HasPrefix(r.URL.Path, "/api") || r.Method != http.MethodGet) {
		return problem(http.StatusForbidden, "a page of another site asks")
	}
	return nil
}

// ownHost reports whether a Host header names this server. An address cannot
// be turned to point elsewhere, a name can.
func (s *Server) ownHost(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	host = strings.TrimSuffix(strings.Trim(host, "[]"), ".")
	return net.ParseIP(host) != nil || strings.EqualFold(host, "localhost") ||
		slices.ContainsFunc(s.opt.Names, func(n string) bool { return strings.EqualFold(n, host) })
}

// admit checks the token, in the Authorization header, in the cookie, or in
// the address: the last is turned into the cookie and taken out of the
// address, so that it does not stay in the browser's history.
func (s *Server) admit(w http.ResponseWriter, r *http.Request) bool {
	if given, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok && s.isToken(given) {
		return true
	}
	if c, err := r.Cookie(tokenCookie); err == nil && s.isToken(c.Value) {
		return true
	}
	q := r.URL.Query()
	if r.Method == http.MethodGet && !strings.HasPrefix(r.URL.Path, "/api") && s.isToken(q.Get("token")) {
		http.SetCookie(w, &http.Cookie{Name: tokenCookie, Value: s.opt.Token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		q.Del("token")
		to := url.URL{Path: "/" + strings.TrimLeft(r.URL.Path, "/"), RawQuery: q.Encode()}
		http.Redirect(w, r, to.String(), http.StatusSeeOther)
		return false
	}
	writeProblem(w, problem(http.StatusUnauthorized, "open the address that the server printed: it holds the token"))
	return false
}

// isToken compares in a time that does not depend on where the two differ.
func (s *Server) isToken(given string) bool {
	a, b := sha256.Sum256([]byte(given)), sha256.Sum256([]byte(s.opt.Token))
	return subtle.ConstantTimeCompare(a[:], b[:]) == 1
}
