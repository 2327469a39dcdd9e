#!/bin/sh
# Prints how long all limits of one load on a compiled case take in Go, how
# long the same answers take in NumPy in blocks of 8192, and the ratio. Both
# on one core.
set -e
cd "$(dirname "$0")"
core="taskset -c 0"
command -v taskset >/dev/null || core=
ns=$(GOMAXPROCS=1 $core go test -run '^$' -bench 'BenchmarkCheck/level$' -benchtime 1s -count 5 ../../../ballast |
	awk '/BenchmarkCheck/ {print $3}' | sort -n | head -1)
$core env OMP_NUM_THREADS=1 /usr/bin/python3 peer.py "$ns"
