#!/bin/sh
# Times whole analyses; writes result.md and result.svg here.
set -e
cd "$(dirname "$0")"
{
	echo "# Whole membrane analysis"
	echo
	echo "A plate of 200 x 80 mm with two holes, orthotropic, its direction changing from"
	echo "point to point: mesh, system, assembly, factorisation, solution, nodal stress,"
	echo "error estimate, on two workers, each size in a process of its own, the best of"
	echo "${1:-5} runs."
	echo
	grep -m1 'model name' /proc/cpuinfo | sed 's/.*: /Machine: /'
	uptime | sed 's/.*load/Load at the start (other programs ran beside this when it is above 2): load/'
	echo
	go build -o analysis.run .
	./analysis.run -rounds "${1:-5}" -svg result.svg
	rm analysis.run
} >result.new
mv result.new result.md
