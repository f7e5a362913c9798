#!/bin/sh
# Times the solver beside the references; writes result.md and result.svg here.
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
	echo "Least figures of all rounds. What else runs on the machine lengthens the clock's"
	echo "times, at random where it is above 2; processor time, all threads together, is"
	echo "disturbed less. Rows 1 and 3 order alike up to 240 000 unknowns."
	echo
	go run . -rounds "${1:-3}" -svg result.svg
} >result.new
mv result.new result.md
