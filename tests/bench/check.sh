#!/bin/sh
# check.sh - how long `earshot check` says a run takes, against how long it takes: jobs of different kinds on the invented island.
#
#   sh tests/bench/check.sh [BUILD_DIR [JOB...]]
#
# Prints one table: seconds of the clock told, taken, their ratio (target: 0.5 to 2), and seconds that check itself took. Each run
# follows its check at once, as a shared machine changes; the load is told with each row. BUILD_DIR (default build-bench) is
# made when missing. JOB: of the names below; all by default, some ten minutes on two processors.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
build=${1:-$root/build-bench}
[ $# -eq 0 ] || shift
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
[ -f "$build/build.ninja" ] || cmake -G Ninja -B "$build" "$root" >/dev/null
ninja -C "$build" earshot benches >/dev/null
earshot=$build/core/cli/earshot
cd "$work"
ln -s "$root/terrain-samples" terrain
ln -s "$root/examples/skarn-head/cover.csv" cover.csv
north="{name: north, position: [-36.1234, 46.60]}" east="{name: east, position: [-36.05, 46.5678]}"

job() { # season help chain
  cat <<JOB
beacon: {name: Bench, position: [-36.1234, 46.5678], frequency_mhz: 10368.875, antenna: {gain_dbi: 10, height_m: 18}, power: {at_amplifier_dbm: 27}}
ground: {elevation: terrain/elevation, cover: terrain/cover.tif, cover_table: cover.csv, canopy_height: terrain/canopy.tif, mask: terrain/land.geojson, vertical_datum: invented, surface: bare-earth}
climate: {delta_n_median: 40}
chain: $3
season: $1
help: $2
JOB
}
list() { # how many, km
  awk -v n="$1" -v far="$2" 'BEGIN { srand(7); print "name,lon,lat"
    for (i = 0; i < n; i++) { d = 5 + (far - 5) * rand(); a = 6.2831853 * rand()
      printf "L%d,%.5f,%.5f\n", i, -36.1234 + d * sin(a) / 76.5, 46.5678 + d * cos(a) / 111.2 } }' >"list-$1.csv"
  echo "listeners: list-$1.csv"
}
map() { echo "map: {radius_km: $1, cell_m: $2, receiver: {height_m: 10, dish_m: 0.6}}"; }

demo() { cat "$root/examples/skarn-head/job.yaml"; }
listeners() { job in-leaf no whole-year && list 400 300; }
helped() { job in-leaf yes whole-year && list 150 300; }
big() { job no-trees no diffraction && map 100 97.7; } # 2047 cells a side
powers() { job "[in-leaf, out-of-leaf]" no whole-year && list 20 100 && map 40 200 && echo "vary: {power_dbm: [20, 27, 33]}"; }
sites() { job in-leaf no whole-year && list 20 100 && map 40 200 && echo "vary: {site: [$north, $east, {name: own, position: [-36.1234, 46.5678]}]}"; }
heights() { job in-leaf no whole-year && list 20 100 && map 30 250 && echo "vary: {height_m: [4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 34, 36, 38, 40, 42]}"; }
openings() { job no-trees no openings && list 30 200 && map 60 200; }

now() { date +%s.%N; }
row() { printf '| %-10s | %8s | %8s | %6s | %8s | %6s |\n' "$@"; }
row job told took ratio "check s" load
row --- ---- ---- ----- ------- ----
[ $# -gt 0 ] || set -- demo listeners helped big powers sites heights openings
for name in "$@"; do
  folder=.
  [ "$name" != demo ] || folder=$root/examples/skarn-head
  [ "$name" = demo ] || "$name" >"$name.yaml"
  file=$folder/$name.yaml
  [ "$name" != demo ] || file=$folder/job.yaml
  load=$(cut -d' ' -f1 /proc/loadavg)
  begin=$(now)
  "$earshot" check "$file" --quiet >told.txt
  middle=$(now)
  "$earshot" run "$file" --output out --quiet >/dev/null
  end=$(now)
  told=$(sed -n 's/^time  *about \([0-9]*\) s .*/\1/p' told.txt)
  row "$name" "$told" "$(echo "$end $middle" | awk '{ printf "%.1f", $1 - $2 }')" \
    "$(echo "$end $middle $told" | awk '{ printf "%.2f", $3 / ($1 - $2) }')" \
    "$(echo "$middle $begin" | awk '{ printf "%.1f", $1 - $2 }')" "$load"
  sed -n 's/^time/#   told:/p' told.txt
  tr -d '\n' <out/run-log.json | sed 's/.*"seconds"/#   took:/; s/}}//'
  echo
  rm -rf out
done
