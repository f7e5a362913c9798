// Package job is the engine: it reads a job folder, runs the stages in their
// order, keeps their results, and writes what came out. The command line, the
// browser page and Go programs call it; none of them computes anything of its
// own.
//
//	part ─ mesh ─ stress ─ field ─ strands ─ findings ─ proof ─ program
//
// A stage is a pure function of its inputs. Each result is kept with the hash
// of what made it (out/stages); a stage runs again only when that hash has
// changed. Files appear whole, all together at the end of a command: a
// cancelled or failed command leaves the folder as it was.
//
// Errors are of three classes: InputError (the user can mend it; exit code 2),
// context errors, and everything else.
package job

// Version of the program: it is part of every hash, so that results of an
// older program are not taken for this one's.
const Version = "0.1.0"

// Caution is shown with every result that could hurt someone, in these words
// everywhere.
const Caution = "Figures are predictions from stated material data, not certification. Printed composites vary by printer, operator, moisture and batch. Parts whose failure can hurt are proof-tested and signed off by a qualified engineer under the rules that hold locally. Hot nozzles, moving axes and cut carbon filaments need guards, gloves and extraction."
