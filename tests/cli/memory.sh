#!/bin/sh
# memory.sh EARSHOT SANITIZERS - less and less memory for two maps with the same losses: first no map is made ahead, then layers lie
# on the disk, then the job is refused. Every file is the same to the byte, and the memory used is what check said. With sanitizers
# memory is their own: bytes only.
set -eu
earshot=$(realpath "$1")
. "$(dirname "$0")/lib.sh"

cat >"$work/job.yaml" <<JOB
beacon: {name: Skarn Head, position: [-36.1234, 46.5678], frequency_mhz: 10368.875, antenna: {gain_dbi: 10, height_m: 18}, power: {at_amplifier_dbm: 27}}
ground: {elevation: $here/terrain-samples/elevation, mask: $here/terrain-samples/land.geojson, vertical_datum: invented}
climate: {delta_n_median: 40}
chain: whole-year
models: [free-space, diffraction]
time_percent: [1, 2, 5, 10, 20, 50, 90]
vary: {power_dbm: [20, 30]}
map: {radius_km: 35, cell_m: 90, receiver: {height_m: 10}}
JOB
told() { # megabytes that check tells with these options
  expect 0 "$earshot" check "$work/job.yaml" --quiet "$@" </dev/null
  sed -n 's/^memory  *about \([0-9]*\) MB: .*/\1/p' "$work/.stdout"
}
took() { sed -n 's/.*"peak_memory_bytes": \([0-9]*\).*/\1/p' "$work/$1/run-log.json"; }

whole=$(told)
alone=$(told --memory $((whole - 1)))
! grep -q '^disk ' "$work/.stdout" || fail "layers go to the disk before maps ahead are given up"
disk=$(told --memory $((alone - 1)))
layers=$(sed -n 's/^disk  *about \([0-9]*\) MB .*/\1/p' "$work/.stdout")
[ "${layers:-0}" -gt 0 ] || fail "with one megabyte too few check does not tell of layers on the disk"
[ "$disk" -lt "$alone" ] || fail "layers on the disk save nothing: $disk MB, without $alone MB"

expect 0 "$earshot" run "$work/job.yaml" --output "$work/held" --quiet </dev/null
expect 0 "$earshot" run "$work/job.yaml" --output "$work/alone" --quiet --memory $((alone + 1)) </dev/null
expect 0 "$earshot" run "$work/job.yaml" --output "$work/on-disk" --quiet --memory $((disk + 1)) </dev/null
for less in alone on-disk; do
  diff -r -x run-log.json "$work/held" "$work/$less" || fail "the files of $less differ"
done
[ -f "$work/on-disk/map-snr-p50-18m-20dbm.tif" ] || fail "no map was made"
left=$(find "$work/on-disk" -name '.earshot-*' -o -name '.part-*')
[ -z "$left" ] || fail "left behind: $left"
if [ -z "${2:-}" ]; then
  near() { # folder megabytes
    echo "$1: check says $2 MB, the run took $(took "$1") bytes"
    awk -v told="$2" -v took="$(took "$1")" 'BEGIN { r = 1e6 * told / took; exit !(r > 0.75 && r < 1.25) }' ||
      fail "$1: check says $2 MB, the run took $(took "$1") bytes"
  }
  near held "$whole"
  near alone "$alone"
  near on-disk "$disk"
  awk -v a="$(took alone)" -v b="$(took on-disk)" -v l="$layers" 'BEGIN { exit !(a - b > 0.5e6 * l) }' ||
    fail "layers of $layers MB on the disk: $(took on-disk) bytes, in memory $(took alone)"
fi

expect 1 "$earshot" run "$work/job.yaml" --output "$work/none" --quiet --memory $((disk - 1)) <<END
$work/job.yaml: --memory: the job needs about $disk MB (*
END
[ ! -e "$work/none" ] || fail "a refused job wrote something"

[ "$failed" -eq 0 ]
