#!/bin/sh
# canopy.sh [EARSHOT [RADIUS_KM [TIMES]]] - what the canopy costs a map: the demo's ground with nothing on it
# (`bare`), with its canopy read but no leaf standing (`no-trees`) and in leaf (`in-leaf`), by two chains,
# on one thread. Medians of so many runs each, taken in turn. `map` is the computing of the map alone, on the
# clock; `wall` and `user` are the whole program with its files; the ratios are those of map and user to the
# bare ones (on a busy machine only the last is steady).  A measurement, not a test: nothing fails. Target:
# in leaf at most 2.5.
set -eu
cd "$(dirname "$0")/../.."
earshot=${1:-build/core/cli/earshot}
radius_km=${2:-99.8} # 999 x 999 cells
times=${3:-3}
here=$PWD
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

for chain in diffraction whole-year; do
  for season in no-trees in-leaf; do
    sed -e "s#\.\./\.\./terrain-samples#$here/terrain-samples#" -e "s#cover\.csv#$here/examples/skarn-head/cover.csv#" \
      -e '/^listeners: /d' -e '/^obstacles: /d' -e '/^trees: /d' -e "s/^chain: .*/chain: $chain/" \
      -e "s/^season: .*/season: $season/" -e "s/radius_km: .*/radius_km: $radius_km/" \
      examples/skarn-head/job.yaml >"$work/$chain-$season.yaml"
  done
  sed -e '/^  cover: /d' -e '/^  cover_table: /d' -e '/^  canopy_height: /d' "$work/$chain-no-trees.yaml" \
    >"$work/$chain-bare.yaml"
done

# once NAME: one run, its map, wall and user seconds on a line of NAME.times.
once() {
  /usr/bin/time -f '%e %U' -o "$work/time" "$earshot" run "$work/$1.yaml" --output "$work/out" --quiet --threads 1
  map=$(sed -n 's/.*"maps": \([0-9.]*\).*/\1/p' "$work/out/run-log.json")
  echo "$map $(cat "$work/time")" >>"$work/$1.times"
}

# middle NAME COLUMN: its median.
middle() {
  cut -d ' ' -f "$2" "$work/$1.times" | sort -n | awk '{ v[NR] = $1 } END { print v[int((NR + 1) / 2)] }'
}

printf '%-12s %-9s %8s %8s %8s %9s %10s\n' chain trees 'map s' 'wall s' 'user s' 'map ratio' 'user ratio'
for chain in diffraction whole-year; do
  i=0
  while [ $i -lt "$times" ]; do
    for trees in bare no-trees in-leaf; do once "$chain-$trees"; done
    i=$((i + 1))
  done
  for trees in bare no-trees in-leaf; do
    awk -v c=$chain -v t=$trees -v b="$(middle $chain-bare 1)" -v m="$(middle $chain-$trees 1)" \
      -v w="$(middle $chain-$trees 2)" -v u="$(middle $chain-$trees 3)" -v n="$(middle $chain-bare 3)" \
      'BEGIN { printf "%-12s %-9s %8.2f %8.2f %8.2f %9.2f %10.2f\n", c, t, m, w, u, m / b, u / n }'
  done
done
