#!/bin/sh
# starve.sh STARVED MODELS [STEP [MAP_STEP]] - makes the n-th allocation fail, then the n-th call for the disk, for every n of
# a small run (every STEP-th allocation and ten times as many of the calls, which are fewer; every MAP_STEP-th of a run with
# maps; 0: not at all). By hand, in hours: steps 1 1. In less: "places" for a step, which takes the first and the last call
# of each chain of calls that leads to one; the calls between differ only in which turn of a loop they stand in.
#
# Each time: no crash and no leak (the checked build sees them); either all goes well and the answers are the same as ever, or
# there is one clear error; what was there before is there still; every file is whole; no temporary file is left.
set -eu
starved=$1
models=$2
step=${3:-499}
map_step=${4:-4999}
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
sh "$here/make-job.sh" "$work/job" 20
sed -i 's/whole-year/diffraction/; s/radius_km: 4/radius_km: 1/' "$work/job/job.yaml"
grep -v '^map\|^  radius_km\|^  cell_m\|^  receiver' "$work/job/job.yaml" >"$work/job/few.yaml"

fail() {
  echo "starve.sh: $*" >&2
  sed 's/^/  | /' "$work/said" | head -5 >&2
  bad=$((bad + 1))
}
bad=0

run() { "$starved" run "$1" --output "$2" --threads 1 --models-from "$models" --quiet; }

# starved KIND N JOB: one run in which the N-th call fails, over the answers of an earlier, smaller job.
starve() {
  rm -rf "$work/out"
  cp -r "$work/before" "$work/out"
  status=0
  env "EARSHOT_FAIL_$1=$2" "$starved" run "$3" --output "$work/out" --threads 1 --models-from "$models" --quiet \
    2>"$work/said" || status=$?
  what="$1 $2 of $(basename "$3"), exit status $status"
  ! grep -q 'Sanitizer\|runtime error' "$work/said" || fail "$what: a fault the checked build sees"
  case $status in
  0) diff -rq -x run-log.json "$work/whole" "$work/out" >"$work/said" || fail "$what: done, but not the same" ;;
  1 | 2 | 3)
    # Models or modes that could not be read are missing, too: that may be told besides.
    lines=$(grep -v -c 'what is whole is kept\|is not installed; see\|unknown mode' "$work/said" || true)
    [ "$lines" -eq 1 ] || fail "$what: want one clear error, not $lines"
    ;;
  *) fail "$what: a crash" ;;
  esac
  (cd "$work/out" && find . -type f ! -name run-log.json) | while read -r name; do
    cmp -s "$work/out/$name" "$work/whole/$name" || cmp -s "$work/out/$name" "$work/before/$name" || exit 1
  done || fail "$what: a file that is not whole: $(ls -A "$work/out")"
  (cd "$work/before" && find . -type f ! -name run.json) | while read -r name; do [ -e "$work/out/$name" ] || exit 1; done ||
    fail "$what: an earlier answer is gone"
  failed=$((failed + 1))
}

# numbers KIND STEP CALLS: which of them are made to fail.
numbers() {
  if [ "$2" = places ]; then
    sed -n "s/^$1 //p" "$work/count" | tr ' ' '\n' | sort -nu
  else
    seq 1 "$2" "$3"
  fi
}

# reads N: the job is looked at, and one allocation fails while it or what it names is read.
reads() {
  status=0
  env "EARSHOT_FAIL_MEMORY=$1" "$starved" check "$work/job/rich.yaml" --models-from "$models" >"$work/said" 2>&1 || status=$?
  ! grep -q 'Sanitizer\|runtime error' "$work/said" || fail "reading, $1: a fault the checked build sees"
  case $status in
  0) ;;
  1) grep -q '^1 fault;' "$work/said" || fail "reading, $1: want one clear error" ;;
  *) fail "reading, $1: exit status $status, a crash" ;;
  esac
  failed=$((failed + 1))
}

# A job that names much, in its first 1400 allocations: by then it has been read.
cat >"$work/job/rich.yaml" <<'END'
beacon:
  name: Small Hill
  call: Q0SML
  frequency_mhz: 10368
  position: [-36.17500, 46.52500]
  polarisation: horizontal
  antenna: {pattern: cut.csv, peak_dbi: 10, azimuth_deg: 20, height_m: 10}
  power: {at_amplifier_dbm: 27, feeder: {line: foam-coax-10mm, length_m: 12}}
  keying: {kind: on-off, message: "V V DE Q0SML"}
listeners: listeners.csv
modes: modes.csv
ground: {elevation: [hill.asc, hill.asc], crs: "EPSG:4326", vertical_datum: invented}
climate: {delta_n_median: 40}
obstacles:
  - {station: near, azimuth_from_deg: 10, azimuth_to_deg: 40, distance_m: 60, depth_m: 20, top_m: 14}
  - {station: Q1AB, azimuth_from_deg: 10, azimuth_to_deg: 40, distance_m: 60, depth_m: 20, top_m: 14}
vary:
  power_dbm: [20, 30]
  site:
    - {name: near, position: [-36.17500, 46.52500]}
    - {name: far, position: [-36.17000, 46.53000]}
  antenna:
    - {name: guide, gain_dbi: 10}
    - {name: dish, dish_m: 0.6, azimuth_deg: 20}
settings: {diffraction: {convention: p2001}}
aim: {mode: slow, first: [Q1AB, Q2AB]}
compare:
  - {from: near-guide-10m-20dbm, to: far-guide-10m-20dbm}
time_percent: [1, 50]
chain: whole-year
END
printf 'cut,angle_deg,gain_db\nelevation,-90,-30\nelevation,-10,-12\nelevation,0,0\nelevation,10,-12\nelevation,90,-30\n' >"$work/job/cut.csv"
printf 'id,snr_2500_db,name\nslow,-33,Very slow\n' >"$work/job/modes.csv"
"$starved" check "$work/job/rich.yaml" --models-from "$models" >"$work/said" 2>&1 || fail "the rich job is refused"
failed=0
for n in $(seq 3 "$([ "$step" = places ] && echo 1 || echo $((step / 100 + 1)))" 1400); do reads "$n"; done

for job in few:$step job:$map_step; do
  every=${job#*:}
  job=$work/job/${job%:*}.yaml
  disk_every=places
  case $every in
  0) continue ;;
  places) ;;
  *) disk_every=$((every / 10 + 1)) ;;
  esac
  rm -rf "$work/before" "$work/whole"
  sed 's/power_dbm: .20, 30./power_dbm: [20]/' "$job" >"$work/job/earlier.yaml"
  run "$work/job/earlier.yaml" "$work/before"
  cp -r "$work/before" "$work/whole"
  EARSHOT_COUNT=$work/count run "$job" "$work/whole"
  read -r allocations calls <"$work/count"
  before=$failed
  for n in $(numbers MEMORY "$every" "$allocations"); do starve MEMORY "$n" "$job"; done
  between=$failed
  for n in $(numbers DISK "$disk_every" "$calls"); do starve DISK "$n" "$job"; done
  echo "$(basename "$job"): $((between - before)) of $allocations allocations and $((failed - between)) of $calls calls for the disk made to fail"
done
echo "$failed failures, $bad of them worse than a stop"
[ "$bad" -eq 0 ]
