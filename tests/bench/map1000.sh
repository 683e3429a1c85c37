#!/bin/sh
# map1000.sh [EARSHOT] - time and memory of a map of about 1000 x 1000 cells over the demo's ground, for each chain, on one
# thread and on all. A measurement, not a test: nothing fails. Target: under 10 s on two cores.
set -eu
cd "$(dirname "$0")/../.."
earshot=${1:-build/core/cli/earshot}
here=$PWD
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Radius and cell give 999 x 999 cells.
for chain in diffraction openings whole-year; do
  sed -e "s#\.\./\.\./terrain-samples#$here/terrain-samples#" -e 's/^listeners: .*//' -e '/^models: /d' \
    -e "s/^chain: .*/chain: $chain/" -e 's/radius_km: .*/radius_km: 99.8/' \
    examples/skarn-head/job.yaml >"$work/$chain.yaml"
done

log() { sed -n "s/.*\"$1\": \([0-9.]*\).*/\1/p" "$work/out/run-log.json"; }

printf '%-12s %7s %9s %9s %9s %9s %9s\n' chain threads 'ground s' 'map s' 'files s' 'all s' 'peak MB'
for chain in diffraction openings whole-year; do
  for threads in 1 "$(nproc)"; do
    "$earshot" run "$work/$chain.yaml" --output "$work/out" --quiet --threads "$threads"
    awk -v c=$chain -v t="$threads" -v g="$(log ground)" -v m="$(log maps)" -v f="$(log files)" \
      -v p="$(log peak_memory_bytes)" \
      'BEGIN { printf "%-12s %7d %9.2f %9.2f %9.2f %9.2f %9.0f\n", c, t, g, m, f, g + m + f, p / 1e6 }'
  done
done
