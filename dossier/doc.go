// Package dossier writes the report of a job: one HTML file with everything
// inside it, readable on screen and on paper, that another engineer can check
// line by line. It draws and words what the job's results hold and computes
// nothing of its own.
package dossier
