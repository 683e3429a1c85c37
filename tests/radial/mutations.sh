#!/bin/sh
# mutations.sh - are the tests of the sweep worth anything? Breaks a copy of the sources in one place at a time, builds, and
# expects a test to fail. Run by hand from anywhere:
#
#   sh tests/radial/mutations.sh [CC]
#
# Takes about a minute. Exit status 1 when a mutation survives or no longer applies. Last run, gcc 12:
# all 31 caught. (A scan that starts one sample later is no mutation: sample_after() answers the sample before the interval.)
set -eu
cc=${1:-cc}
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
survived=0

build_and_run() { # folder; 0 when the tests pass
  (cd "$1" &&
    core="core/base/arena.c core/radial/fan.c core/radial/geometry.c core/radial/hull.c core/radial/line.c core/radial/tangents.c core/radial/zones.c" &&
    for test in "test_sweep.c tests/radial/plain.c tests/radial/families.c plugins/common/delta_bullington.c" test_line.c test_fan.c; do
      # shellcheck disable=SC2086
      $cc -O1 -std=gnu11 -D_GNU_SOURCE -fno-math-errno -ffp-contract=off -Icore -Icore/include -Iplugins -Itests -w \
        tests/radial/$test $core -lcmocka -lm -o run || exit 99
      timeout 120 ./run >run.log 2>&1 || exit 1
    done)
}

mutate() { # what it is, file, sed expression
  rm -rf "$work/copy" && mkdir "$work/copy"
  cp -r "$root/core" "$root/plugins" "$root/tests" "$work/copy/"
  sed -i "$3" "$work/copy/$2"
  if cmp -s "$root/$2" "$work/copy/$2"; then
    echo "DOES NOT APPLY  $1"
    survived=1
    return
  fi
  status=0
  build_and_run "$work/copy" || status=$?
  case $status in
    0) echo "SURVIVED        $1" && survived=1 ;;
    99) echo "DOES NOT BUILD  $1" && survived=1 ;;
    *) echo "caught          $1" ;;
  esac
}

T=core/radial/tangents.c G=core/radial/geometry.c H=core/radial/hull.c L=core/radial/line.c Z=core/radial/zones.c
F=core/radial/fan.c D=plugins/common/delta_bullington.c

mutate "no scan of the edges beside the valley" $T '/scan_edge(s, l, v/d'
mutate "only the edge after the valley is scanned" $T '/if (v > 0) scan_edge/d'
mutate "only the edge before the valley is scanned" $T '/if (v + 1 < s->hull.n) scan_edge/d'
mutate "the valley is walked to the right only" $T '/t > 0 && (next = vertex_v2/d'
mutate "the scan starts a sample late" $T 's/i = sample_after(s->line, low, high, from - margin);/i = 2 + sample_after(s->line, low, high, from - margin);/'
mutate "|C| for C on the actual profile" $T 's/0.5e-3 \* curvature_per_km/0.5e-3 * fabs(curvature_per_km)/'
mutate "a horizon is taken from the first of its ties" $T 's/slope >= s->tx_slope/slope > s->tx_slope/'
mutate "the receiver's own bulge is left out" $T 's/antenna_m - k \* dist \* dist/antenna_m/'
mutate "canopy to the very ends" $T 's/!canopy || line->top_m == NULL || .*;/!canopy || line->top_m == NULL;/'
mutate "the hull keeps hollows" $H 's/while (n > 1/while (n > 2/'
mutate "the tangent stops one vertex early" $H '0,/return low/s/return low/return low > 0 ? low - 1 : low/'
mutate "no obstruction terms" $G 's/if (!(height > 0.0)) return;/return;/'
mutate "obstruction shares swapped" $G 's/smooth_tx -= height \* from_tx/smooth_tx -= height * from_rx/'
mutate "smooth earth not held to the ground" $G 's/t->smooth_tx\[r\] = fmin(tx, h0)/t->smooth_tx[r] = tx/'
mutate "the last half segment is left out of the fit" $G '/fit_segment(&v1, &v2, line->dist_m\[last\]/d'
mutate "roughness between the wrong horizons" $G 's/: hull->rx_at;/: hull->tx_at;/'
mutate "blocks passed over by their highest base" $G 's/base + fmin(slope/base + fmax(slope/'
mutate "two judges of the line of sight" $G 's/hull->clear_at != SIZE_MAX;/hull->tx_slope < direct;/'
mutate "common volume without the bulge" $G 's/ + 0.5 \* d \* d \/ radius//'
mutate "sea measured to the sample, not the half step" $Z 's/0.5 \* (line->dist_m\[next - 1\] + line->dist_m\[next\])/line->dist_m[next]/'
mutate "a gap is bridged whatever its length" $L 's/> fill_gap_m) break;/> 1e9) break;/'
mutate "bridged samples pass for measured" $L 's/known\[i\] = BRIDGED/known[i] = MEASURED/'
mutate "a ray owns both its borders" $F 's/-r < e2 \&\& e2 <= r/-r <= e2 \&\& e2 <= r/'
mutate "all wedges take the diagonal" $F 's/: side < r;/: side <= r;/'
mutate "Cp for 1/Reffp on the smooth profile" $D 's/0.5e-3 \/ setup->radius_km/0.5e-3 * setup->curvature_per_km/'
mutate "only the sample before the extreme" $D 's/if (i == last) return here;/return here;/'
mutate "the cubic's root by one step" $D 's/return 2.0 \* sqrt((m + 1.0).*;/return c \/ (m + 1.0);/'
mutate "no Bullington correction" $D 's/return knife_db + (1.0.*;/return knife_db;/'
mutate "grazing judged twice" $D 's/if (isnan(hull->clear_v2)).*/if (hull->tx_slope >= line_slope)/'
mutate "height gain without its floor" $D 's/return fmax(g, 2.0 + 20.0 \* log10(k));/return g;/'
mutate "sea and land swapped" $D 's/(1.0 - sea_share) \* first_term(s, &LAND/(1.0 - sea_share) * first_term(s, \&SEA/'
exit $survived
