#!/bin/sh
# Every fuzz target of the tree, one after another, with one worker each.
#
#   sh bench/fuzz.sh [TIME] [PATTERN]
#
# TIME is go test's -fuzztime for each target (default 10m), PATTERN picks
# targets by "package Name". A line per target goes to standard output: what it
# was, runs done, and how it ended. What fails is written below the package's
# testdata/fuzz by go test, and stays there as a regression once it is mended.
time=${1:-10m}
pattern=${2:-.}
cd "$(dirname "$0")/.." || exit 3
status=0
grep -rno '^func Fuzz[A-Za-z0-9]*' --include=*_test.go . |
	sed 's|^\./\(.*\)/[^/]*:[0-9]*:func \(.*\)|\1 \2|' | grep "$pattern" | sort >"${TMPDIR:-/tmp}/targets.$$"
while read -r package target; do
	log=$(nice -n 19 go test -run '^$' -fuzz "^$target\$" -fuzztime "$time" -parallel 1 "./$package" 2>&1 </dev/null)
	end=ok
	case $log in *FAIL*) end=FAILED status=1 ;; esac
	runs=$(printf '%s\n' "$log" | sed -n 's/.*execs: \([0-9]*\).*/\1/p' | tail -1)
	printf '%-10s %-16s %6s %12s runs  %s\n' "$package" "$target" "$time" "${runs:-0}" "$end"
	[ "$end" = ok ] || printf '%s\n' "$log"
done <"${TMPDIR:-/tmp}/targets.$$"
rm -f "${TMPDIR:-/tmp}/targets.$$"
exit $status
