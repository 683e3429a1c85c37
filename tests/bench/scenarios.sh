#!/bin/sh
# scenarios.sh - what many scenarios cost against one: heights for listeners and for maps, powers and amplifiers for maps.
#
#   sh tests/bench/scenarios.sh [BUILD_DIR]
#
# Prints one table: many, one, ratio, target. Ratios are of processor time, as clocks say little on a shared machine; both are
# told. BUILD_DIR (default build-bench) is made when missing.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
build=${1:-$root/build-bench}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
[ -f "$build/build.ninja" ] || cmake -G Ninja -B "$build" "$root" >/dev/null
ninja -C "$build" benches foliage >/dev/null
cd "$work"
ln -s "$root/terrain-samples" terrain
ln -s "$root/examples/skarn-head/cover.csv" cover.csv
heights="4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 34, 36, 38, 40, 42"

job() { # season help
  cat <<JOB
beacon:
  name: Bench
  position: [-36.1234, 46.5678]
  frequency_mhz: 10368.875
  antenna: {gain_dbi: 10, height_m: 18}
  power: {at_amplifier_dbm: 27, feeder: {line: foam-coax-10mm, length_m: 15}}
ground: {elevation: terrain/elevation, cover: terrain/cover.tif, cover_table: cover.csv, canopy_height: terrain/canopy.tif, mask: terrain/land.geojson, vertical_datum: invented, surface: bare-earth}
climate: {delta_n_median: 40}
time_percent: [0.1, 1, 10, 50, 90, 99, 99.9]
season: $1
help: $2
JOB
}
# 500 listeners, 10 to 400 km away.
awk 'BEGIN { srand(7); print "name,lon,lat"
  for (i = 0; i < 500; i++) { d = 10 + 390 * rand(); a = 6.2831853 * rand()
    printf "L%d,%.5f,%.5f\n", i, -36.1234 + d * sin(a) / 76.5, 46.5678 + d * cos(a) / 111.2 } }' >listeners.csv
listen="listeners: listeners.csv"
map="map: {radius_km: 60, cell_m: 200, receiver: {height_m: 10, dish_m: 0.6}}"
{ job in-leaf no; echo "$listen"; } >one.yaml
{ job in-leaf no; echo "$listen"; echo "vary: {height_m: [$heights]}"; } >heights.yaml
{ job "[in-leaf, out-of-leaf]" no; echo "$listen"; echo "vary: {height_m: [$heights]}"; } >seasons.yaml
{ job "[in-leaf, out-of-leaf]" yes; echo "$listen"; echo "vary: {height_m: [$heights]}"; } >help.yaml
{ job in-leaf no; echo "$map"; } >map-one.yaml
{ job in-leaf no; echo "$map"; echo "vary: {height_m: [$heights]}"; } >map-heights.yaml
{ job in-leaf no; echo "$map"; echo "vary: {power_dbm: [20, 27, 33], amplifier: [foot, antenna]}"; } >map-powers.yaml

took() { # job stage: "wall cpu"
  "$build/tests/bench/scenarios_bench" "$1" "$build/models" 2 | awk -v s="$2" '$1 == s { print $2, $3 }'
}
row() { printf '| %-58s | %16s | %16s | %6s | %-8s |\n' "$@"; }
against() { # words many one target
  row "$1" "$2" "$3" "$(echo "$2 $3" | awk '{ printf "%.1f", $2 / $4 }')" "$4"
}
printf 'load when begun: %s\n\n' "$(cut -d' ' -f1-3 /proc/loadavg)"
row "work (seconds of the clock, of the processor)" many one ratio target
row ---- ---- ---- ---- ----
one=$(took one.yaml listeners)
against "500 listeners to 400 km, 20 heights" "$(took heights.yaml listeners)" "$one" "< 4"
row "the same, 2 seasons" "$(took seasons.yaml listeners)" - - "< 60 s"
row "the same, and what would help each" "$(took help.yaml listeners)" - - "< 60 s"
one=$(took map-one.yaml maps)
against "map 601 x 601, whole year and trees, 20 heights" "$(took map-heights.yaml maps)" "$one" "< 10"
against "the same, 3 powers x amplifier at foot and antenna" "$(took map-powers.yaml maps)" "$one" "-"
printf '\nload when done: %s\n' "$(cut -d' ' -f1-3 /proc/loadavg)"
