module sinew/bench/solver

go 1.26.0

require sinew v0.0.0

require (
	golang.org/x/sys v0.50.0
	gonum.org/v1/gonum v0.17.0 // indirect
)

replace sinew => ../..
