#!/bin/sh
# own-model.sh EARSHOT CMAKE GENERATOR COMPILER - the example of a user's own model: built out of tree against nothing but
# the header, found, described and used, by the commands of its README.
set -eu
earshot=$(realpath "$1")
. "$(dirname "$0")/lib.sh"

"$2" -G "$3" -S examples/own-model -B "$work/own-model" -DEARSHOT_INCLUDE="$here/core/include" -DCMAKE_C_COMPILER="$4" \
  -DCMAKE_C_FLAGS="-Wall -Wextra -Wpedantic -Werror" >"$work/log" 2>&1 &&
  "$2" --build "$work/own-model" >>"$work/log" 2>&1 || {
  cat "$work/log"
  exit 1
}
[ -f "$work/own-model/sea-spray.so" ] || fail "no sea-spray.so has come out"

EARSHOT_MODEL_PATH=$work/own-model
export EARSHOT_MODEL_PATH
expect 0 "$earshot" models sea-spray </dev/null
grep -q "^sea-spray: spray over the sea" "$work/.stdout" || fail "models does not describe sea-spray"
grep -q "file .*$work/own-model/sea-spray.so" "$work/.stdout" || fail "models does not say where sea-spray was found"
unset EARSHOT_MODEL_PATH
expect 1 "$earshot" models sea-spray <<END
there is no model sea-spray; earshot models lists them
END

# The demo's job with the model at the end of its list: its term is 0.01 dB a kilometre of sea.
sed -e 's/^chain: .*/chain: diffraction\nmodels: [free-space, diffraction, gases, sea-spray]/' -e 's/^season: .*/season: no-trees/' \
  -e "s#\.\./\.\./terrain-samples#$here/terrain-samples#" examples/skarn-head/job.yaml >"$work/job.yaml"
cp examples/skarn-head/*.csv "$work/"
term() { # of a listener, at its only percentage, with the model from a folder
  "$earshot" path "$work/job.yaml" "$1" --json --quiet --models-from "$2" >"$work/path.json"
  sed -n '/"sea-spray": \[/{n;s/[ ,]//g;p;q;}' "$work/path.json"
}
value=$(term Q9RIG "$work/own-model")
distance=$(sed -n 's/.*"distance_km": \([0-9.]*\).*/\1/p' "$work/path.json")
awk -v term="${value:-none}" -v km="$distance" 'BEGIN { exit !(km > 100 && term > 0.005 * km && term <= 0.01 * km) }' ||
  fail "sea-spray adds ${value:-nothing} dB on $distance km of sea and cape to Q9RIG"

# A binary of the day on which the interface was frozen, version 1, says the same for ever after (x86-64, Linux).
if [ "$(uname -m)" = x86_64 ]; then
  kept=$(term Q9RIG "$here/tests/abi/kept")
  [ -n "$kept" ] && [ "$kept" = "$value" ] || fail "the kept sea-spray.so adds ${kept:-nothing} dB, a new one ${value:-nothing}"
fi

# The manual shows this very file.
sed '1d' examples/own-model/sea-spray.c >"$work/file"
sed -n '/^```c$/,/^```$/p' docs/plugin-manual.md | sed '1d; /^```$/,$d' >"$work/shown"
cmp -s "$work/file" "$work/shown" || sed '1d' "$work/file" | cmp -s - "$work/shown" ||
  fail "docs/plugin-manual.md shows another sea-spray.c"

[ "$failed" -eq 0 ]
