#!/bin/sh
# run.sh [SECONDS] [TARGET...] - builds the fuzzers and runs each for some seconds (20) from its corpus. The last line counts.
#
# New inputs go to build-fuzz/corpus, findings to build-fuzz/found; what tests/fuzz/corpus holds was made by hand or found.
# EARSHOT_FUZZ_BUILD names another build folder.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
seconds=${1:-20}
[ $# -eq 0 ] || shift
build=${EARSHOT_FUZZ_BUILD:-$root/build-fuzz}

mkdir -p "$build"
cmake -G Ninja -S "$root" -B "$build" -DCMAKE_C_COMPILER=clang -DES_FUZZ=ON -DES_WERROR=ON >"$build/build.log" 2>&1 &&
  cmake --build "$build" --target help | sed -n 's/^\(fuzz_[a-z]*\): phony.*/\1/p' | xargs cmake --build "$build" --target \
    >>"$build/build.log" 2>&1 || {
  tail -20 "$build/build.log"
  exit 1
}

# GDAL and its friends keep memory until the program ends.
LSAN_OPTIONS="suppressions=$root/.ci/leaks:print_suppressions=0${LSAN_OPTIONS:+:$LSAN_OPTIONS}"
UBSAN_OPTIONS="print_stacktrace=1:halt_on_error=1"
export LSAN_OPTIONS UBSAN_OPTIONS
mkdir -p "$build/found"
good=0
bad=0
[ $# -gt 0 ] || set -- $(cd "$here" && ls fuzz_*.c | sed 's/^fuzz_\(.*\)\.c$/\1/')
for target; do
  mkdir -p "$build/corpus/$target"
  log=$build/found/$target.log
  "$build/tests/fuzz/fuzz_$target" -max_total_time="$seconds" -timeout=20 -rss_limit_mb=2048 -max_len=8192 -print_final_stats=1 \
    -artifact_prefix="$build/found/$target-" "$build/corpus/$target" "$here/corpus/$target" >"$log" 2>&1 &
  pid=$!
  if wait $pid; then
    good=$((good + 1))
    echo "ok: $target: $(sed -n 's/^stat::number_of_executed_units: *//p' "$log") inputs in $seconds s"
  else
    bad=$((bad + 1))
    echo "FAILED: $target"
    grep -E 'ERROR|SUMMARY|runtime error|Test unit written' "$log" | head -5
  fi
  rm -rf /dev/shm/earshot-fuzz-$pid-* /tmp/earshot-fuzz-$pid-* # libFuzzer ends without its leave
done
echo "$good fuzzers found nothing, $bad found something"
[ "$bad" -eq 0 ]
