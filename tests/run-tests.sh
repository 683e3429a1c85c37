#!/bin/sh
# run-tests.sh - everything that must hold before a change goes in. The last line counts: "N passed, N failed".
#
#   gcc, warnings as errors, then ctest          clang, warnings as errors, compiled only
#   gcc with address and undefined-behaviour     clang-format finds nothing to change
#   checks, then ctest                           fuzzers, a few seconds each
#
# EARSHOT_CHECK_VALUES (a folder of published values) and EARSHOT_MEASURED are passed on to the tests when they are set.
set -eu
cd "$(dirname "$0")/.."
sh .ci/setup.sh

# Real elevation for the tests that want it; they are skipped when it cannot be had.
sh examples/colorado/prepare.sh || echo "no elevation of Colorado: its tests are skipped"

passed=0
failed=0

# check NAME COMMAND...: runs it and counts one.
check() {
  name=$1
  shift
  if "$@"; then
    passed=$((passed + 1))
    echo "ok: $name"
  else
    failed=$((failed + 1))
    echo "FAILED: $name"
  fi
}

# check_where_possible NAME COMMAND...: the same; exit status 77 says that it cannot be done here, and counts as neither.
check_where_possible() {
  name=$1
  shift
  code=0
  "$@" || code=$?
  case $code in
  77) echo "skipped: $name" ;;
  *) check "$name" [ "$code" -eq 0 ] ;;
  esac
}

# build FOLDER COMPILER OPTIONS... A folder keeps its compiler: CMake would forget its options if that changed.
build() {
  folder=$1
  compiler=$2
  shift 2
  [ -f "$folder/CMakeCache.txt" ] || set -- "-DCMAKE_C_COMPILER=$compiler" "$@"
  log=$folder/build.log
  mkdir -p "$folder"
  cmake -G Ninja -S . -B "$folder" -DES_WERROR=ON "$@" >"$log" 2>&1 &&
    cmake --build "$folder" >>"$log" 2>&1 && return 0
  grep -E 'error|warning|FAILED' "$log" | head -40
  echo "the whole log: $log"
  return 1
}

# tests FOLDER: runs ctest there and counts each test; those that were skipped count as neither.
tests() {
  log=$1/ctest.log
  ctest --test-dir "$1" --output-on-failure -j "$(nproc)" >"$log" 2>&1 || true
  summary=$(grep -E '^[0-9]+% tests passed, [0-9]+ tests? failed out of [0-9]+' "$log" || true)
  if [ -z "$summary" ]; then
    failed=$((failed + 1))
    echo "FAILED: ctest in $1 did not run"
    tail -5 "$log"
    return
  fi
  bad=$(echo "$summary" | sed 's/.*passed, \([0-9]*\) .*/\1/')
  all=$(echo "$summary" | sed 's/.*out of \([0-9]*\).*/\1/')
  skipped=$(grep -c '\*\*\*Skipped' "$log" || true)
  passed=$((passed + all - bad - skipped))
  failed=$((failed + bad))
  [ "$bad" -eq 0 ] || cat "$log"
  echo "$1: $((all - bad - skipped)) of $all tests passed, $skipped skipped"
}

formatted() {
  find core plugins tests examples terrain-samples -name '*.[ch]' -exec clang-format --dry-run --Werror {} +
}

# GDAL, fontconfig and pango keep memory until the program ends; what is ours must not leak.
LSAN_OPTIONS="suppressions=$PWD/.ci/leaks:print_suppressions=0${LSAN_OPTIONS:+:$LSAN_OPTIONS}"
UBSAN_OPTIONS="print_stacktrace=1${UBSAN_OPTIONS:+:$UBSAN_OPTIONS}"
export LSAN_OPTIONS UBSAN_OPTIONS

# The demo's own folder, unless somebody has set it up with another compiler.
main=build
if [ -f build/CMakeCache.txt ] && ! grep -q '^CMAKE_C_COMPILER:.*gcc' build/CMakeCache.txt; then
  main=build-gcc
fi
check "builds with gcc, warnings as errors" build $main gcc -DCMAKE_BUILD_TYPE=Release
tests $main
check "builds with clang, warnings as errors" build build-clang clang -DCMAKE_BUILD_TYPE=Release
check "builds with address and undefined-behaviour checks" build build-checked gcc -DCMAKE_BUILD_TYPE=Release \
  -DES_SANITIZE=address,undefined
tests build-checked
# Each fuzzer for some seconds. With the same seed each time: what fails here is then the change's doing.
check_where_possible "fuzzers find nothing" env EARSHOT_FUZZ_SEED=1 sh tests/fuzz/run.sh "${EARSHOT_FUZZ_SECONDS:-20}"
check_where_possible "the report holds in a browser" sh tests/browser/run.sh $main
if command -v clang-format >/dev/null 2>&1; then
  check "clang-format has nothing to change" formatted
fi

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
