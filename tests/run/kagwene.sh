#!/bin/sh
# kagwene.sh EARSHOT - the example with real woods: trees cost those who stand in them, and nobody gains by them.
set -eu
earshot=$1
if [ ! -f examples/kagwene/ground/elevation.tif ] || [ ! -f examples/kagwene/ground/vegetation.tif ]; then
  echo "skipped: the ground is not there; run sh examples/kagwene/prepare.sh"
  exit 77
fi
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
"$earshot" run examples/kagwene/job.yaml --output "$out/run" --quiet
awk -F, '
  NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
  $1 ~ /in-leaf/ {
    rows++
    loss = $at["foliage_loss_db"] + 0; all = $at["basic_loss_db"] + 0; bare = $at["no_trees_loss_db"] + 0
    if (all < bare - 0.02) { print $2 ": trees cannot help: " all " dB with, " bare " dB without"; bad = 1 }
    if ($2 ~ /Deep Wood|Wooded Top/ && (loss < 10 || $NF !~ /antenna below its own canopy/)) {
      print $2 ": stands in 22 m of forest, loses " loss " dB, flags: " $NF; bad = 1 }
    if ($at["foliage_low_db"] + 0 > $at["foliage_high_db"] + 0) { print $2 ": low above high"; bad = 1 }
  }
  $1 ~ /no-trees/ && $at["foliage_loss_db"] + 0 != 0 { print $2 ": trees where there are none"; bad = 1 }
  END { if (rows != 6) { print rows " rows, want 6"; bad = 1 }; exit bad }' "$out/run/listeners.csv"
