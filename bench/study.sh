#!/bin/sh
# Processor seconds of the study in examples/hanger: on one and two workers here,
# and on two worker processes over HTTP. Run it from the folder of the module.
set -eu
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -trimpath -o "$dir/sinew" ./cmd/sinew
cp -r examples/hanger "$dir/hanger"
echo a-token-for-this-measurement >"$dir/token"
export TIMEFORMAT='%R s by the clock, %U s user, %S s system'
timed() { # name, command
	name=$1; shift
	bash -c 'time "$@"' timed "$@" 2>"$dir/time.$name"
	echo "$name: $(tail -1 "$dir/time.$name")"
}
for n in 1 2; do
	timed "$n worker(s) here" "$dir/sinew" study "$dir/hanger" --quiet --workers $n --out "$dir/out$n"
done
timed "the study that hands out" "$dir/sinew" study "$dir/hanger" --quiet --workers 0 --listen 127.0.0.1:18290 --token-file "$dir/token" --out "$dir/out3" &
sleep 2
for w in first second; do
	timed "$w worker over HTTP" "$dir/sinew" work http://127.0.0.1:18290 --quiet --workers 1 --token-file "$dir/token" &
done
wait
cmp "$dir/out1/study.json" "$dir/out2/study.json"
cmp "$dir/out1/study.json" "$dir/out3/study.json"
echo "the same bytes three times"
