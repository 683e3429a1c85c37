#!/bin/sh
# rogue.sh EARSHOT ROGUES - a model raises a signal: the run says which and keeps what is whole; with a mended model it comes to
# its end. ROGUES holds a folder for each kind.
set -eu
earshot=$1
rogues=$2
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
sh "$here/make-job.sh" "$work/job" 40
job=$work/job/job.yaml
sed -i 's/height_m: .10., power_dbm: .20, 30./height_m: [10, 20], power_dbm: [20]/; s/whole-year/diffraction/' "$job"
echo 'models: [free-space, diffraction, gases, rogue]' >>"$job"
fail() {
  echo "rogue.sh: $*: $(cat "$work/said")" >&2
  exit 1
}
run() { "$earshot" run "$job" --output "$2" --models-from "$rogues/$1" --quiet; }

run tame "$work/whole" 2>"$work/said" || fail "the tame one does not run"
for kind in segv fpe abrt; do
  status=0
  run $kind "$work/$kind" 2>"$work/said" || status=$?
  name=SIG$(echo $kind | tr "[:lower:]" "[:upper:]")
  [ $status -eq 3 ] || fail "$kind: exit status $status, want 3"
  grep -q "model rogue raised $name" "$work/said" || fail "$kind: the model is not named"
  [ -e "$work/$kind/map-level-10m-20dbm.png" ] || fail "$kind: the scenario before it is not kept"
  run tame "$work/$kind" 2>"$work/said" || fail "$kind: mended, it does not run"
  diff -r -x run-log.json "$work/whole" "$work/$kind" || fail "$kind: not the same"
done
status=0
run create "$work/create" 2>"$work/said" || status=$?
{ [ $status -eq 3 ] && grep -q 'model rogue raised SIGABRT' "$work/said"; } || fail "create: exit status $status"
status=0
"$earshot" models --models-from "$rogues/load" >/dev/null 2>"$work/said" || status=$?
{ [ $status -eq 3 ] && grep -q 'load/rogue.so raised SIGSEGV' "$work/said"; } || fail "load: exit status $status"
echo "each model that raised a signal was told by name"
