#!/usr/bin/env bash
# Whole runs of the demo jobs: cold three times, then warm three times.
# Needs GNU time (Debian package time).
set -eu
cd "$(dirname "$0")/.."
make bin/sinew
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
for job in open-hole hanger; do
	cp -r "examples/$job" "$scratch/$job"
	for _ in 1 2 3; do
		rm -rf "$scratch/$job/out"
		/usr/bin/time -f "$job cold: %e s wall, %U s user, %M KiB" bin/sinew run -q "$scratch/$job"
	done
	for _ in 1 2 3; do
		/usr/bin/time -f "$job warm: %e s wall, %U s user, %M KiB" bin/sinew run -q "$scratch/$job"
	done
done
