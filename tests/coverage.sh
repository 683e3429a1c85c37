#!/bin/sh
# coverage.sh [BUILD] - which lines of core/ and plugins/ the tests reach [gcovr]. By hand.
set -eu
cd "$(dirname "$0")/.."
build=${1:-build-coverage}
cmake -G Ninja -S . -B "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS="--coverage -O0 -fprofile-update=atomic" >/dev/null
cmake --build "$build" >/dev/null
ctest --test-dir "$build" -j "$(nproc)" >"$build/ctest.log" || tail -20 "$build/ctest.log"
gcovr --root . --filter 'core/' --filter 'plugins/' --exclude-unreachable-branches --gcov-ignore-parse-errors "$build" >"$build/coverage.txt"
for folder in core/base core/place core/ground core/station core/job core/radial core/model core/link core/run core/output \
  core/cli plugins; do
  awk -v folder="$folder/" 'index($1, folder) == 1 { lines += $2; hit += $3 }
    END { if (lines) printf "%-14s %5d lines %5.1f %%\n", folder, lines, 100 * hit / lines }' "$build/coverage.txt"
done
tail -3 "$build/coverage.txt"
