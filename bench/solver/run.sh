#!/bin/sh
# Times the solver beside the references; writes result.md and result.svg here.
# Takes about five minutes, or as many as given: run.sh [minutes]. Another matrix:
# go run . -market FILE
# Needs Debian's libmumps-seq-dev, libsuitesparse-dev, libopenblas-dev.
set -e
cd "$(dirname "$0")"
unset OPENBLAS_CORETYPE OPENBLAS_L2_SIZE
{
	echo "# Sparse solver beside CHOLMOD and MUMPS"
	echo
	grep -m1 'model name' /proc/cpuinfo | sed 's/.*: /Machine: /'
	uptime | sed 's/.*load/Load at the start (other programs ran beside this when it is above 2): load/'
	echo
	echo "Least figures of all rounds, the solvers in turn in each. What else runs on the"
	echo "machine lengthens the clock's times, at random where the load is above 2;"
	echo "processor time, all threads together, is disturbed less. Rows 1 and 3 order"
	echo "alike up to 240 000 unknowns."
	echo
	go run . -minutes "${1:-4.5}" -svg result.svg
} >result.new
mv result.new result.md
