#!/bin/sh
# run.sh - builds and runs all benches and prints one table: ours, yardstick, ratio, target.
#
#   sh tests/bench/run.sh [BUILD_DIR [WORK_DIR]]
#
# BUILD_DIR (default build-bench) and WORK_DIR (default a new folder under TMPDIR, removed at the end) are made when missing.
# Every figure is the median of RUNS runs (default 3). Yardsticks run in the same call on the same files: gdal_viewshed, and
# r.viewshed when GRASS is there. Takes some minutes and 2 GB; SIDES="2048" makes it short.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
build=${1:-$root/build-bench}
work=${2:-$(mktemp -d)}
[ $# -ge 2 ] || trap 'rm -rf "$work"' EXIT
runs=${RUNS:-3}
sides=${SIDES:-2048 4096 8192}
both=$(nproc)
[ -f "$build/build.ninja" ] || cmake -G Ninja -B "$build" "$root" >/dev/null
ninja -C "$build" benches earshot >/dev/null
bench=$build/tests/bench models=$build/models
mkdir -p "$work"
cd "$work"

median() { sort -n | awk '{ v[NR] = $1 } END { print v[int((NR + 1) / 2)] }'; }
repeat() { # command that prints a number: the median of several
  i=0
  while [ $i -lt "$runs" ]; do "$@"; i=$((i + 1)); done | median
}
wall() { # seconds a command takes
  begin=$(date +%s.%N)
  "$@" >/dev/null 2>&1
  date +%s.%N | awk -v b="$begin" '{ printf "%.3f\n", $1 - b }'
}
stage() { # job threads stage column: 2 wall, 3 processor time
  "$bench/map_bench" "$1" "$models" "$2" loss out.tif | awk -v s="$3" -v c="$4" '$1 == s { sum += $c } END { print sum }'
}
divide() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.2f", (b > 0 ? a / b : 0) }'; }
row() { printf '| %-52s | %10s | %10s | %8s | %-18s |\n' "$@"; }

hills() { # side: terrain and job, the beacon in the middle of a cell
  [ -f "hills-$1.tif" ] || "$bench/make_terrain" "$1" "hills-$1.tif"
  at=$(echo "500015 5199985" | gdaltransform -s_srs EPSG:32632 -t_srs EPSG:4326 -output_xy | awk '{ print $1 ", " $2 }')
  radius=$(awk -v s="$1" 'BEGIN { print s * 0.015 * 1.4143 }')
  cat >"hills-$1.yaml" <<JOB
beacon: {name: Bench, position: [$at], frequency_mhz: 10368, antenna: {gain_dbi: 10, height_m: 20}, power: {at_amplifier_dbm: 27}}
ground: {elevation: hills-$1.tif, vertical_datum: invented, surface: bare-earth}
climate: {delta_n_median: 40}
chain: diffraction
models: [free-space, diffraction]
time_percent: [50]
map: {radius_km: $radius, grid: elevation, receiver: {height_m: 10}}
JOB
}
viewshed() { gdal_viewshed -q -ox 500015 -oy 5199985 -oz 20 -tz 10 -cc 0 "hills-$1.tif" viewshed.tif; }

year_job() { # radius_km percentages season: the invented island, whole year
  ln -sfn "$root/terrain-samples" terrain
  cat <<JOB
beacon: {name: Bench, position: [-36.1234, 46.5678], frequency_mhz: 10368.875, antenna: {gain_dbi: 10, height_m: 18}, power: {at_amplifier_dbm: 27}}
ground: {elevation: terrain/elevation, cover: terrain/cover.tif, canopy_height: terrain/canopy.tif, mask: terrain/land.geojson, vertical_datum: invented, surface: bare-earth}
climate: {delta_n_median: 40}
chain: whole-year
models: [free-space, diffraction, gases, clear-air, rain, ducting, troposcatter]
time_percent: [$1]
season: [in-leaf, out-of-leaf]
JOB
}

printf 'processor: %s, %s threads; load when begun: %s\n\n' \
  "$(awk -F': ' '/model name/ { print $2; exit }' /proc/cpuinfo)" "$both" "$(cut -d' ' -f1-3 /proc/loadavg)"
row work ours yardstick ratio target
row ---- ---- --------- ----- ------

target_2048=1.5 target_4096=2.5 target_8192=3.0
for side in $sides; do
  hills "$side"
  cells=$((side * side))
  ours=$(repeat wall "$bench/map_bench" "hills-$side.yaml" "$models" "$both" loss out.tif)
  theirs=$(repeat wall viewshed "$side")
  eval "target=\${target_$side:-}"
  row "diffraction GeoTIFF $side, s wall, gdal_viewshed" "$ours" "$theirs" "$(divide "$ours" "$theirs")" "<= ${target:-?}"
  one=$(repeat stage "hills-$side.yaml" 1 map 3)
  eval "ns_$side=$(awk -v s="$one" -v n="$cells" 'BEGIN { printf "%.1f", 1e9 * s / n }')"
  eval "ns=\$ns_$side"
  row "  one thread, ns a cell, processor time" "$ns" - - "65 AVX2, 50 AVX-512"
done
last=${sides##* }
first=${sides%% *}
w1=$(repeat stage "hills-$first.yaml" 1 map 2)
w2=$(repeat stage "hills-$first.yaml" 2 map 2)
row "threads 1 to 2, map alone, $first, s wall" "$w2" "$w1" "$(divide "$w1" "$w2")" ">= 1.9"
if [ "$first" != "$last" ]; then
  eval "a=\$ns_$first b=\$ns_$last"
  row "growth of ns a cell, $first to $last" "$b" "$a" "$(divide "$b" "$a")" "<= 1.35"
fi
middle=$(echo "$sides" | awk '{ print $2 == "" ? $1 : $2 }')
"$bench/cells_bench" "hills-$middle.yaml" "$models" 400 >cells.txt
value() { awk -v k="$1" '$1 == k { print $2 }' cells.txt; }
row "a cell by its own profile, $middle, ns" "$(value map_ns)" "$(value own_ns)" \
  "$(divide "$(value own_ns)" "$(value map_ns)")" ">= 100"
row "  difference of losses, mean dB (95 %, largest)" "$(value mean_db)" "$(value p95_db)" "$(value max_db)" "mean < 0.1"
row "  the same, profiles in a third of the step" "$(value fine_mean_db)" "$(value fine_p95_db)" "$(value fine_max_db)" "mean < 0.1"
if command -v grass >/dev/null; then
  rm -rf grass-place
  grass -c "hills-$middle.tif" -e grass-place >/dev/null 2>&1
  grass grass-place/PERMANENT --exec r.in.gdal -e "input=hills-$middle.tif" output=hills >/dev/null 2>&1
  grass grass-place/PERMANENT --exec g.region raster=hills >/dev/null 2>&1
  # once: it is slow
  theirs=$(wall grass grass-place/PERMANENT --exec r.viewshed input=hills output=seen coordinates=500015,5199985 \
    observer_elevation=20 target_elevation=10 memory=1500 --overwrite)
  ours=$(repeat wall "$bench/map_bench" "hills-$middle.yaml" "$models" "$both" loss out.tif)
  row "diffraction GeoTIFF $middle, s wall, r.viewshed" "$ours" "$theirs" "$(divide "$theirs" "$ours")" ">= 50 times faster"
else
  row "diffraction GeoTIFF $middle, r.viewshed" - "no GRASS" - ">= 50 times faster"
fi

{ year_job "1, 10, 50"; echo "map: {radius_km: 100, cell_m: 200, receiver: {height_m: 10, dish_m: 0.6}}"; } >year.yaml
ours=$(repeat stage year.yaml "$both" map 2)
row "whole-year map 1001 x 1001, 3 percentages, 2 seasons, s" "$ours" - - "< 15, stretch 5"
awk 'BEGIN { srand(7); print "name,lon,lat"
  for (i = 0; i < 1000; i++) { d = 10 + 390 * rand(); a = 6.2831853 * rand()
    printf "L%d,%.5f,%.5f\n", i, -36.1234 + d * sin(a) / 76.5, 46.5678 + d * cos(a) / 111.2 } }' >listeners.csv
{ year_job "0.1, 1, 10, 50, 90, 99, 99.9"; echo "listeners: listeners.csv"; } | sed '/^season/d' >listeners.yaml
listen() {
  "$build/core/cli/earshot" run listeners.yaml --output heard --quiet --models-from "$models" >/dev/null
  awk -F'[:,]' '/"listeners"/ { print $2 + 0 }' heard/run-log.json
}
row "1000 listeners to 400 km, 7 percentages, s" "$(repeat listen)" - - "< 20, stretch 5"
row "one path of 1000 points, 7 percentages, us" "$("$bench/path_bench" "$models" | awk '{ print $2 }')" - - "< 300"
printf '\nload when done: %s\n' "$(cut -d' ' -f1-3 /proc/loadavg)"
