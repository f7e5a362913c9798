// Package workbench is the HTTP face of the engine: a page on which the whole
// job is done, and the documented interface beneath it.
//
// It answers: what is in this workspace, what does this job say, what is wrong
// with it, change it, run it, show me what came out. All computing is package
// job's; this package checks who asks, keeps one run per job, and turns what
// the engine knows into JSON and binary arrays. docs/format/interface.md is
// the interface in words; /api/openapi.json is the same as OpenAPI 3.1, made
// from the types of this package.
//
// # Guarantees
//
// No request leads out of the workspace: names are single path segments, and
// links that point outside are refused. Requests of another origin, and those
// that reach the server under a name it was not started with, are refused
// before they are read. Every change of a job names the version it is based
// on; one based on an old version changes nothing and shows both sides.
//
// # Limits
//
// The interface is for one user or a small group that trust each other: a
// token lets in or does not, there are no roles. Over anything but loopback the
// connection is as secret as the network; put a TLS proxy before it.
//
// # Conventions
//
// JSON holds mm, N, MPa, s, g and degrees; field names say so.
package workbench
