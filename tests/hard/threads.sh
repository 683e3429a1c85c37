#!/bin/sh
# threads.sh [BUILD] - builds with the thread checks and runs what has threads. By hand: libraries are not built with those
# checks, so a report that begins in one of them is left out (tests/hard/threads.supp says which).
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
build=${1:-$root/build-threads}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cmake -G Ninja -S "$root" -B "$build" -DES_SANITIZE=thread -DES_TESTS=OFF -DCMAKE_C_COMPILER=clang >/dev/null
cmake --build "$build" >/dev/null
sh "$here/make-job.sh" "$work/job" 40
TSAN_OPTIONS="suppressions=$here/threads.supp:halt_on_error=0:exitcode=66"
export TSAN_OPTIONS
"$build/core/cli/earshot" run "$work/job/job.yaml" --output "$work/four" --threads 4 --quiet
"$build/core/cli/earshot" run "$work/job/job.yaml" --output "$work/one" --threads 1 --quiet
diff -r -x run-log.json "$work/one" "$work/four"
env --default-signal=INT "$build/core/cli/earshot" run "$work/job/job.yaml" --output "$work/stopped" --threads 4 --quiet &
pid=$!
while [ ! -e "$work/stopped/listeners.csv" ] && kill -0 $pid 2>/dev/null; do sleep 0.05; done
kill -INT $pid
status=0
wait $pid || status=$?
[ $status -eq 3 ] || {
  echo "stopped: exit status $status, want 3"
  exit 1
}
echo "four threads, one thread, stopped: no race seen, the same bytes"
