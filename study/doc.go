// Package study carries a job out many times, each time with other values of
// some of its keys, and says which of the points are worth having: those that
// meet the limits and that no other point betters in every aim.
//
//	study.toml ─ points ─ job, edited ─ job.Run ─ figures ─ limits ─ front
//	                         │ handed out, here or to other machines │
//
// The points stand in a fixed order, and each is a pure function of the job's
// files and the edited job file. Who computes it, and when, leaves no trace: the
// record has the same bytes for any number of workers. Answers are kept as they
// come (out/study), so that a study that was stopped goes on from there.
//
// Points are drawn as every combination of the values, or by the sequence of
// J. H. Halton, "On the efficiency of certain quasi-random sequences of points in
// evaluating multi-dimensional integrals", Numerische Mathematik 2 (1960) 84–90,
// shifted as a whole, modulo 1, by an amount that the seed gives (R. Cranley,
// T. N. L. Patterson, "Randomization of number theoretic methods for multiple
// integration", SIAM Journal on Numerical Analysis 13 (1976) 904–914). It fills
// the space evenly in up to ten variables or so; with more, the last ones go
// together in the first points.
//
// A point betters another where it is no worse in every aim and better in one
// (V. Pareto's rule). Figures are compared exactly as computed; points that are
// equal in all aims stand on the front together and are named as ties.
//
// What a worker on another machine says is held against the hash of what it was
// asked, the program's version and the form of an answer. A worker that holds the
// token and makes up figures is not found out: give the token to machines of your
// own.
package study
