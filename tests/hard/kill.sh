#!/bin/sh
# kill.sh EARSHOT [TIMES] [SEED] - kills a run at random moments (10, or TIMES) and lets it go on each time.
#
# After every kill each file there is must be whole: the same as in an unbroken run. When a run comes to its end all files
# must be there and nothing else; then the next begins in a fresh folder. By hand: sh tests/hard/kill.sh build/core/cli/earshot 200
set -eu
earshot=$1
times=${2:-10}
seed=${3:-1}
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
sh "$here/make-job.sh" "$work/job" 40

start=$(date +%s%N)
"$earshot" run "$work/job/job.yaml" --output "$work/whole" --quiet
longest=$((($(date +%s%N) - start) / 1000000))
rm "$work/whole/run-log.json"

# Every file there, temporary ones aside, is the same as in the unbroken run.
all_whole() {
  (cd "$1" && find . -type f ! -name '.part-*' ! -name run-log.json) | while read -r name; do
    cmp "$1/$name" "$work/whole/$name" || exit 1
  done
}

out=$work/out
killed=0
ended=0
while [ "$killed" -lt "$times" ]; do
  wait_ms=$(awk -v seed="$seed" -v n="$((killed + ended))" -v longest="$longest" 'BEGIN {
    srand(seed * 100003 + n); rand(); print int(0.8 * rand() * longest) }')
  "$earshot" run "$work/job/job.yaml" --output "$out" --quiet &
  pid=$!
  sleep "$(awk -v ms="$wait_ms" 'BEGIN { printf "%.3f", ms / 1000 }')"
  kill -KILL "$pid" 2>/dev/null || true
  if wait "$pid" 2>/dev/null; then
    ended=$((ended + 1))
    rm -f "$out/run-log.json"
    diff -r "$work/whole" "$out"
    rm -rf "$out"
  else
    killed=$((killed + 1))
    [ ! -d "$out" ] || all_whole "$out"
  fi
done
"$earshot" run "$work/job/job.yaml" --output "$out" --quiet
rm -f "$out/run-log.json"
diff -r "$work/whole" "$out"
echo "killed $killed times within $longest ms, $((ended + 1)) runs came to their end: every file whole, all the same"
