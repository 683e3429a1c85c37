#!/bin/sh
# full.sh EARSHOT - the disk fills up half-way: one clear error, what is whole stays, and with room again the run goes on.
# Needs the right to mount a small file system in memory; without it the test is skipped (status 77).
set -eu
earshot=$1
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
mkdir "$work/small"
mount -t tmpfs -o size=900k none "$work/small" 2>/dev/null || {
  rm -rf "$work"
  echo "cannot mount a tmpfs: skipped"
  exit 77
}
trap 'umount "$work/small"; rm -rf "$work"' EXIT
sh "$here/make-job.sh" "$work/job" 40
run() { "$earshot" run "$work/job/job.yaml" --output "$1" --quiet; }

fail() {
  echo "full.sh: $*" >&2
  exit 1
}
run "$work/whole"
for size in 60k 120k 200k 300k 500k 900k; do
  mount -o "remount,size=$size" "$work/small"
  status=0
  run "$work/small/out" 2>"$work/said" || status=$?
  [ "$status" -eq 3 ] || fail "$size: exit status $status, want 3: $(cat "$work/said")"
  [ "$(grep -c 'cannot be' "$work/said")" -eq 1 ] || fail "$size: want one clear error: $(cat "$work/said")"
  [ -z "$(find "$work/small" -name '.part-*')" ] || fail "$size: temporary files are left: $(find "$work/small")"
  (cd "$work/small/out" && find . -type f) | while read -r name; do
    cmp "$work/small/out/$name" "$work/whole/$name" || exit 1
  done
done
mount -o "remount,size=100m" "$work/small"
run "$work/small/out"
diff -r -x run-log.json "$work/whole" "$work/small/out"
echo "a full disk stops the run, and no more"
