#!/bin/sh
# colorado.sh EARSHOT - the example over real elevation, when examples/colorado/prepare.sh has fetched it. Skipped otherwise.
set -eu
earshot=$(realpath "$1")
. "$(dirname "$0")/lib.sh"
if [ ! -f examples/colorado/ground/N37W106.hgt ] || [ ! -f examples/colorado/ground/N37W105.hgt ]; then
  echo "skipped: sh examples/colorado/prepare.sh fetches the elevation"
  exit 77
fi

expect 0 "$earshot" run examples/colorado/job.yaml --output "$work/out" --quiet </dev/null
table=$work/out/listeners.csv

# field NAME COLUMN: a listener's value in the table.
field() {
  awk -F, -v name="$1" -v column="$2" '
    { sub(/\r$/, "") }
    NR == 1 { for (i = 1; i <= NF; i++) if ($i == column) at = i; for (i = 1; i <= NF; i++) if ($i == "name") who = i }
    NR > 1 && $who == name { print $at }' "$table"
}
# near WHAT VALUE WANTED TOLERANCE
near() {
  awk -v a="${2:-nan}" -v b="$3" -v t="$4" 'BEGIN { d = a - b; exit !(a == a + 0 && d <= t && -d <= t) }' ||
    fail "$1 is ${2:-nothing}, want $3 within $4"
}

[ "$(wc -l <"$table")" -eq 13 ] || fail "the table has not 12 listeners"
# Metres, as the elevation read by hand at those places says.
near "ground at Q4AVA" "$(field Q4AVA ground_m)" 1852 3
near "ground at Q4EST" "$(field Q4EST ground_m)" 4112 6
near "ground at Q4GAL" "$(field Q4GAL ground_m)" 2284 3
near "distance of Q4GAL" "$(field Q4GAL distance_km)" 84.031 0.001 # GeographicLib's GeodSolve
[ "$(field Q4EST line_of_sight)" = yes ] || fail "Q4EST, on the summit, does not see the beacon"
[ "$(field Q4FOR line_of_sight)" = no ] || fail "Q4FOR, behind the mountains, sees the beacon"
awk -v a="$(field Q4FOR surface_loss_db)" -v b="$(field Q4INN surface_loss_db)" 'BEGIN { exit !(a > b + 10) }' ||
  fail "the mountains before Q4FOR cost too little against the plain before Q4INN"
for name in Q4AVA Q4BRN Q4CUR Q4DAL Q4EST Q4FOR Q4GAL Q4HIL Q4INN Q4JUN Q4KIT Q4LEE; do
  [ -n "$(field $name snr_2500hz_db_p50)" ] || fail "$name has no answer"
done

# South of 37 N there are no tiles: 17 to 23 % of the square about the disc, and the record counts it.
missing=$(sed -n '/"maps"/,$s/.*"missing": \([0-9]*\).*/\1/p' "$work/out/run.json" | head -1)
cells=$(sed -n '/"maps"/,$s/.*"cells": \([0-9]*\).*/\1/p' "$work/out/run.json" | head -1)
awk -v m="${missing:-0}" -v n="${cells:-1}" 'BEGIN { exit !(m > 0.15 * n && m < 0.25 * n) }' ||
  fail "$missing of $cells cells are missing, want about a fifth"
ls "$work"/out/map-level-*.png >/dev/null || fail "there is no map"

# Three sites, the amplifier at the foot and at the antenna.
expect 0 "$earshot" run examples/colorado/sites.yaml --output "$work/sites" --quiet </dev/null
[ "$(wc -l <"$work/sites/ranking.csv")" -eq 7 ] || fail "the ranking has not 6 scenarios"
tr '\n' ' ' <"$work/sites/digest.txt" | tr -s ' ' | grep -q 'Which one to build\. Best of 6 scenarios: ' ||
  fail "the digest does not tell which scenario to build"
for site in east-shoulder pass-ridge valley-edge; do
  foot=$(awk -F, -v s="$site-amp-at-foot-12m-30dbm" '$2 == s { print $5 }' "$work/sites/ranking.csv")
  mast=$(awk -F, -v s="$site-amp-at-antenna-12m-30dbm" '$2 == s { print $5 }' "$work/sites/ranking.csv")
  awk -v a="${mast:-0}" -v b="${foot:-99}" 'BEGIN { exit !(a > b) }' ||
    fail "$site: $mast listeners to be expected without 6 dB of coax, $foot with it"
done
for file in compare-01.png compare-01.tif compare-01.csv compare-01.json; do
  [ -s "$work/sites/$file" ] || fail "$file is missing"
done

[ "$failed" -eq 0 ]
