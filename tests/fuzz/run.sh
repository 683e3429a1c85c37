#!/bin/sh
# run.sh [SECONDS] [TARGET...] - builds the fuzzers and runs each for some seconds (20) from its corpus. The last line counts.
#
# Exit status 77: clang and its libFuzzer (libclang-rt-14-dev) cannot be had here. EARSHOT_FUZZ_SEED fixes the chance in it.
# As many run at once as there are processors, or EARSHOT_FUZZ_JOBS. New inputs go to build-fuzz/corpus, findings to
# build-fuzz/found; what tests/fuzz/corpus holds was made by hand or found. EARSHOT_FUZZ_BUILD names another build folder.
# For hours: nice -n 19 env EARSHOT_FUZZ_JOBS=1 sh tests/fuzz/run.sh 600
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
seconds=${1:-20}
[ $# -eq 0 ] || shift
build=${EARSHOT_FUZZ_BUILD:-$root/build-fuzz}
jobs=${EARSHOT_FUZZ_JOBS:-$(nproc)}
# shellcheck disable=SC2046 # names without blanks
[ $# -gt 0 ] || set -- $(cd "$here" && ls fuzz_*.c | sed 's/^fuzz_\(.*\)\.c$/\1/')

sh "$root/.ci/want.sh" clang libclang-rt-14-dev
mkdir -p "$build"
# shellcheck disable=SC2046,SC2086
cmake -G Ninja -S "$root" -B "$build" -DCMAKE_C_COMPILER=clang -DES_FUZZ=ON -DES_WERROR=ON >"$build/build.log" 2>&1 &&
  cmake --build "$build" --target $(printf 'fuzz_%s ' "$@") >>"$build/build.log" 2>&1 || {
  tail -20 "$build/build.log"
  exit 1
}

# GDAL and its friends keep memory until the program ends.
LSAN_OPTIONS="suppressions=$root/.ci/leaks:print_suppressions=0${LSAN_OPTIONS:+:$LSAN_OPTIONS}"
UBSAN_OPTIONS="print_stacktrace=1:halt_on_error=1"
export LSAN_OPTIONS UBSAN_OPTIONS
mkdir -p "$build/found"

# one TARGET: runs it and tells what came of it.
one() {
  mkdir -p "$build/corpus/$1"
  log=$build/found/$1.log
  "$build/tests/fuzz/fuzz_$1" -max_total_time="$seconds" -seed="${EARSHOT_FUZZ_SEED:-0}" -timeout=20 \
    -rss_limit_mb=2048 -max_len=8192 -print_final_stats=1 -artifact_prefix="$build/found/$1-" "$build/corpus/$1" "$here/corpus/$1" >"$log" 2>&1 &
  pid=$!
  if wait $pid; then
    echo "ok: $1: $(sed -n 's/^stat::number_of_executed_units: *//p' "$log") inputs in $seconds s"
  else
    echo "FAILED: $1"
    grep -E 'ERROR|SUMMARY|runtime error|Test unit written' "$log" | head -5
  fi
  rm -rf /dev/shm/earshot-fuzz-$pid-* /tmp/earshot-fuzz-$pid-* # libFuzzer ends without its leave
}

rm -f "$build"/found/*.said
running=0
for target; do
  one "$target" >"$build/found/$target.said" &
  running=$((running + 1))
  [ $((running % jobs)) -ne 0 ] || wait
done
wait
cat "$build"/found/*.said
cat "$build"/found/*.said >>"$build/found/history"
good=$(cat "$build"/found/*.said | grep -c '^ok' || true)
echo "$good of $# fuzzers found nothing"
[ "$good" -eq $# ]
