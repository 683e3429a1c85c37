#!/bin/sh
# run.sh - judges the program by measured paths. Prints the tables of docs/truth.md and writes OUT (build/truth):
#
#   tables.md          all tables             errors.csv      every error, value by value
#   model_sigma.csv    spread by way, band    truth-*.png     pictures
#
# EARSHOT_MEASURED  folder of measured paths, profiles and rain (its README says what is in it); needed
# EARSHOT_LAND      polygons of land (any OGR layer), or a raster with 0 at sea. When unset, Natural Earth 1:10 million
#                   is fetched through npm; without npm the zones are those of the profiles' own files.
set -eu
if [ ! -f "${EARSHOT_MEASURED:-}/c3_1_paths.csv" ]; then
  echo "run.sh: EARSHOT_MEASURED must name the folder of measured paths (with c3_1_paths.csv)" >&2
  exit 2
fi
measured=$(cd "$EARSHOT_MEASURED" && pwd)
cd "$(dirname "$0")/../.."
sh .ci/setup.sh
build=${EARSHOT_BUILD:-build}
[ -f "$build/CMakeCache.txt" ] || cmake -G Ninja -S . -B "$build" -DCMAKE_BUILD_TYPE=Release >/dev/null
cmake --build "$build" >/dev/null
out=$build/truth
mkdir -p "$out"

# Polygon by polygon: as it comes, the whole world is one shape, and cutting a path's surroundings out of it takes long.
fetch_land() {
  command -v npm >/dev/null && command -v ogr2ogr >/dev/null || return 1
  (cd "$out" && npm pack --silent world-atlas@2.0.2 >/dev/null && tar xf world-atlas-2.0.2.tgz) || return 1
  ogr2ogr -f GPKG -a_srs EPSG:4326 -explodecollections -nlt POLYGON -nln land "$out/land.gpkg" \
    "$out/package/land-10m.json" land
}

land=${EARSHOT_LAND:-$out/land.gpkg}
if [ -z "${EARSHOT_LAND:-}" ] && [ ! -f "$out/land.gpkg" ] && ! fetch_land; then
  echo "run.sh: no land layer: set EARSHOT_LAND; going on without" >&2
  land=
fi
"$build/tests/truth/truth" "$measured" "$build/models" "$out" ${land:+"$land"} >"$out/tables.md" 2>"$out/log.txt" ||
  { grep -v Self-intersection "$out/log.txt" >&2; exit 1; }
"$build/tests/truth/draw_truth" "$out/errors.csv" "$out"
cat "$out/tables.md"
echo "written: $out/tables.md errors.csv model_sigma.csv truth-scatter.png truth-distance.png" >&2
