#!/bin/sh
# usage.sh EARSHOT - help, wrong usage, and the commands that only look.
set -eu
earshot=$(realpath "$1")
. "$(dirname "$0")/lib.sh"
export ARGP_HELP_FMT=rmargin=200

for command in run check path profile models; do
  expect 0 "$earshot" $command --help </dev/null
  grep -q "^Usage: earshot $command " "$work/.stdout" || fail "$command --help names no usage"
  grep -q "Example: earshot $command " "$work/.stdout" || fail "$command --help has no example"
  expect 2 "$earshot" $command --no-such-option <<END
earshot $command: unrecognized option '--no-such-option'
Try \`earshot $command --help' or *
END
done
expect 0 "$earshot" --help </dev/null
expect 0 "$earshot" --version </dev/null

usage() { # the program's own help follows the first line
  status=0
  "$@" >/dev/null 2>"$work/.said" || status=$?
  [ $status -eq 2 ] || fail "$* ends with $status, want 2"
  [ -s "$work/.said" ] || fail "$* says nothing"
}
usage "$earshot"
usage "$earshot" listen
usage "$earshot" run
usage "$earshot" run job.yaml
usage "$earshot" run job.yaml other.yaml --output out
usage "$earshot" check
usage "$earshot" path job.yaml
usage "$earshot" profile
usage "$earshot" check job.yaml --threads 0
usage "$earshot" check job.yaml --threads many

expect 0 "$earshot" models </dev/null
for model in free-space diffraction gases; do
  grep -q "^$model .*ITU-R" "$work/.stdout" || fail "models does not list $model with its source"
done
expect 0 "$earshot" models diffraction </dev/null
grep -q "setting  *convention: " "$work/.stdout" || fail "models diffraction does not describe its convention"
expect 1 "$earshot" models pixies <<END
there is no model pixies; earshot models lists them
END

# Every example in the help is one that can be run.
expect 0 "$earshot" check examples/skarn-head/job.yaml --quiet </dev/null
for line in 'listeners   26' 'paths       52' 'map         1001 x 1001 cells of 300 m' 'memory      about' 'time        about'; do
  grep -q "^$line" "$work/.stdout" || fail "check does not say '$line'"
done
expect 0 "$earshot" path examples/skarn-head/job.yaml Q7XAN --quiet </dev/null
grep -q "^  distance " "$work/.stdout" || fail "path tells no distance"
expect 0 "$earshot" path examples/skarn-head/job.yaml Q7XAN --quiet --json </dev/null
grep -q '"listener": "Q7XAN ' "$work/.stdout" || fail "path --json names no listener"
expect 0 "$earshot" profile examples/profile/two-hills.yaml </dev/null
grep -q "^ *50 .*surface" "$work/.stdout" || fail "profile tells nothing of half the year"
expect 0 "$earshot" profile examples/profile/two-hills.yaml --json </dev/null
grep -q '"basic_loss_db": [0-9]' "$work/.stdout" || fail "profile --json tells no loss"
expect 1 "$earshot" path examples/skarn-head/job.yaml Q7NOT --quiet <<END
examples/skarn-head/listeners.csv: no listener is named Q7NOT
END

[ "$failed" -eq 0 ]
