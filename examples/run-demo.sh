#!/bin/sh
# run-demo.sh - builds Earshot and shows who will hear the beacon on Skarn Head. Everything it needs it sets up itself.
set -eu
cd "$(dirname "$0")/.."
sh .ci/setup.sh

if [ ! -f build/CMakeCache.txt ]; then
  cmake -G Ninja -S . -B build -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release >&2
fi
cmake --build build >&2

job=examples/skarn-head/job.yaml
out=out/skarn-head
build/core/cli/earshot run "$job" --output "$out"

height=$out-height
build/core/cli/earshot run examples/skarn-head/height.yaml --output "$height"

echo "The map:"
for map in "$out"/map-*.png; do
  [ ! -e "$map" ] || echo "  $map"
done
echo "The table: $out/listeners.csv, which begins"
# Name, distance, bearing and whatever else fits a screen.
sed -n 1,6p "$out/listeners.csv" | cut -c1-"${COLUMNS:-118}" | sed 's/^/  /'
echo "What height buys, with the amplifier at the foot and at the antenna:"
sed -n 's/^ *"advice": "\(.*\)",$/  \1/p' "$height/heights.json"
for chart in "$height"/heights-*.png; do
  [ ! -e "$chart" ] || echo "  $chart"
done
