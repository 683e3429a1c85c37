#!/bin/sh
# stop.sh EARSHOT - a run stopped by Ctrl-C or SIGTERM, two runs in one folder, a changed job.
set -eu
earshot=$1
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
job=$work/job/job.yaml
sh "$here/make-job.sh" "$work/job" 40

fail() {
  echo "stop.sh: $*" >&2
  exit 1
}
run() { "$earshot" run "$job" --output "$1" --quiet; }
same() {
  diff -r -x run-log.json "$1" "$2" || fail "$3"
}
no_remains() { [ -z "$(find "$1" -name '.part-*')" ] || fail "temporary files are left in $1"; }

run "$work/whole"
for signal in INT TERM; do
  out=$work/$signal
  # A shell starts what it puts in the background with SIGINT ignored; env gives it back.
  env --default-signal=INT "$earshot" run "$job" --output "$out" --quiet 2>"$work/said" &
  pid=$!
  while [ ! -e "$out/listeners.csv" ]; do sleep 0.01; done
  run "$out" 2>"$work/second" && fail "a second run in one folder was let in"
  grep -q 'another run is writing there' "$work/second" || fail "the second run was not told why: $(cat "$work/second")"
  kill -"$signal" "$pid"
  status=0
  wait "$pid" || status=$?
  [ "$status" -eq 3 ] || fail "$signal: exit status $status, want 3: $(cat "$work/said")"
  grep -q 'the same command goes on' "$work/said" || fail "$signal: no word of going on"
  no_remains "$out"
  [ ! -e "$out/run.json" ] || fail "a run that was stopped has a run.json"
  run "$out"
  same "$work/whole" "$out" "$signal: not the same as an unbroken run"
done

# Remains of a dead run and a torn book: cleaned, made again.
out=$work/TERM
echo x >"$out/.part-999999999-0-map.png"
printf 'file 12' >>"$out/.earshot-done"
echo changed >>"$out/map-sight-10m-20dbm.tif"
run "$out"
no_remains "$out"
same "$work/whole" "$out" "remains of a dead run"

# One scenario more: the others' maps are left alone. One less: its files go.
stamp() { (cd "$1" && find . -name 'map-*' -newer "$work/now" | sort); }
touch "$work/now"
sleep 0.05
cp "$job" "$work/first.yaml"
sed -i 's/power_dbm: .20, 30./power_dbm: [20, 30, 33]/' "$job"
run "$out"
[ "$(stamp "$out" | grep -c -v 33dbm)" -eq 0 ] || fail "a new scenario redid: $(stamp "$out")"
[ -e "$out/map-level-10m-33dbm.png" ] || fail "the new scenario has no map"
cp "$work/first.yaml" "$job"
run "$out"
same "$work/whole" "$out" "the scenario taken away again"

# Another list of listeners: rasters stay, sheets are drawn again. A comment: nothing is done again.
touch "$work/now"
sleep 0.05
echo "# a word" >>"$job"
run "$out"
[ -z "$(stamp "$out")" ] || fail "a comment redid: $(stamp "$out")"
sed -i '$d' "$work/job/listeners.csv"
run "$out"
[ -z "$(stamp "$out" | grep tif)" ] || fail "listeners redid rasters: $(stamp "$out")"
[ "$(stamp "$out" | grep -c png)" -eq 6 ] || fail "listeners did not redraw the sheets"

# Another ground: everything.
touch "$work/now"
sleep 0.05
sed -i '8s/^[0-9.]*/77.7/' "$work/job/hill.asc"
run "$out"
[ "$(stamp "$out" | wc -l)" -eq "$(find "$out" -name 'map-*' | wc -l)" ] || fail "another ground left maps as they were"
echo "stopped, refused, gone on and changed as promised"
