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
  while [ ! -e "$out/listeners.csv" ] && kill -0 "$pid" 2>/dev/null; do sleep 0.01; done
  [ -e "$out/listeners.csv" ] || fail "$signal: it ended early: $(cat "$work/said")"
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

# Remains of a dead run, a torn ticket and a changed raster: cleaned, made again.
out=$work/TERM
echo x >"$out/.part-999999999-0-map.png"
echo '{"needs": "0123' >"$out/.earshot/map-10m-30dbm.json"
echo changed >>"$out/map-sight-10m-20dbm.tif"
run "$out"
no_remains "$out"
same "$work/whole" "$out" "remains of a dead run"

# What a run makes anew among files of these names, and how many maps it computes.
stamp() { touch "$work/now" && sleep 0.05; }
touched() { (cd "$out" && find . -type f -name "$1" -newer "$work/now" | sort); }
computed() { sed 's/\r/\n/g' "$work/said" | grep -o '^map [^:]*' | sort -u | wc -l; }
go() { "$earshot" run "$job" --output "$out" 2>"$work/said"; }

# All is there: nothing is computed, no file is touched but the two that every run writes.
stamp
go
[ "$(computed)" -eq 0 ] || fail "all was there, and $(computed) maps were computed"
touched '*' >"$work/touched"
printf '%s\n' ./run-log.json ./run.json | cmp - "$work/touched" || fail "all was there, and it touched $(cat "$work/touched")"

# One scenario more: the others' maps are neither computed nor written.
stamp
cp "$job" "$work/first.yaml"
sed -i 's/power_dbm: .20, 30./power_dbm: [20, 30, 33]/' "$job"
go
[ "$(computed)" -eq 1 ] || fail "one scenario more, and $(computed) maps were computed"
[ "$(touched '*.tif' | grep -c -v 33dbm)" -eq 0 ] || fail "a new scenario rewrote $(touched '*.tif')"
[ -e "$out/map-level-10m-33dbm.png" ] || fail "the new scenario has no map"
run "$work/three"
same "$work/three" "$out" "one scenario more"
cp "$work/first.yaml" "$job"

# A comment, another aim: no map is computed. Another list of listeners: the rasters stay, the sheets are drawn again.
stamp
echo "# a word" >>"$job"
echo "aim: {time_percent: 60}" >>"$job"
go
[ "$(computed)" -eq 0 ] || fail "a comment and an aim, and $(computed) maps were computed"
[ -z "$(touched '*.tif')" ] || fail "a comment and an aim rewrote $(touched '*.tif')"
sed -i '2s/,10$/,11/' "$work/job/listeners.csv"
go
[ "$(computed)" -eq 0 ] || fail "other listeners, and $(computed) maps were computed"
[ -z "$(touched '*.tif')" ] || fail "other listeners rewrote $(touched '*.tif')"
[ "$(touched 'map-*.png' | wc -l)" -eq 6 ] || fail "other listeners left the sheets: $(touched 'map-*.png')"

# Another setting, another ground: everything that is for these scenarios.
for change in 's/noise_figure_db: 1,/noise_figure_db: 2,/ job.yaml' '8s/^[0-9.]*/77.7/ hill.asc'; do
  stamp
  sed -i "${change% *}" "$work/job/${change##* }"
  go
  [ "$(computed)" -eq 2 ] || fail "${change##* } changed, and $(computed) maps were computed"
  [ "$(touched 'map-level*.png' | wc -l)" -eq 2 ] || fail "${change##* } changed, and sheets stay as they were"
done
rm -r "$out"/*33dbm* "$out"/*/*33dbm* "$out/.earshot/map-10m-33dbm.json" # of a scenario the job has no more
run "$work/another"
same "$work/another" "$out" "another setting and another ground"
echo "stopped, refused, gone on and changed as promised"
