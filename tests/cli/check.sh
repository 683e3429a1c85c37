#!/bin/sh
# check.sh EARSHOT SANITIZERS - what check says a run will take, against what the run took: memory within a quarter, time within
# a factor of four, as a machine may be busy with one of the two and idle with the other (tests/bench/check.sh has the figures).
# With sanitizers memory is their own, and the test is skipped.
set -eu
earshot=$(realpath "$1")
. "$(dirname "$0")/lib.sh"
[ -z "${2:-}" ] || exit 77

for job in examples/skarn-head/job.yaml examples/colorado/job.yaml; do
  case $job in *colorado*) [ -f examples/colorado/ground/N37W105.hgt ] || continue ;; esac
  expect 0 "$earshot" check $job --quiet </dev/null
  seconds=$(sed -n 's/^time  *about \([0-9]*\) s .*/\1/p' "$work/.stdout")
  told=$(sed -n 's/^memory  *about \([0-9]*\) MB: .*/\1/p' "$work/.stdout")
  expect 0 "$earshot" run $job --output "$work/out" --quiet </dev/null
  took=$(sed -n 's/.*"peak_memory_bytes": \([0-9]*\).*/\1/p' "$work/out/run-log.json")
  echo "$job: check says $told MB, the run took $((took / 1000000)) MB"
  awk -v told="${told:-0}" -v took="${took:-0}" 'BEGIN { r = 1e6 * told / took; exit !(r > 0.75 && r < 1.25) }' ||
    fail "$job: check says ${told:-nothing} MB, the run took ${took:-nothing} bytes"
  took=$(awk -F'[:,]' '/"(ground|listeners|maps|files)"/ { sum += $2 } END { print sum }' "$work/out/run-log.json")
  echo "$job: check says $seconds s, the run took $took s"
  awk -v told="${seconds:-0}" -v took="${took:-0}" 'BEGIN { exit !(told > took / 4 && told < 4 * took + 1) }' ||
    fail "$job: check says ${seconds:-nothing} s, the run took ${took:-nothing} s"
done

[ "$failed" -eq 0 ]
