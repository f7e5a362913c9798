// Package web holds the workbench's page as it is built: a script, a style
// sheet and the licence texts of the libraries in them, ready to be served.
// It has no logic of its own.
//
// The sources in src are TypeScript and Svelte; "make web" builds them into
// dist, which is committed so that the Go tool alone makes the whole program.
// A check in CI builds it again and compares.
package web

import "embed"

// Files is the built page, rooted at dist: dist/index.html is where it starts.
//
//go:embed all:dist
var Files embed.FS
