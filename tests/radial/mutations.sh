#!/bin/sh
# mutations.sh - are the tests of the sweep worth anything? Breaks a copy of the sources in one place at a time, builds, and
# expects a test to fail. Run by hand from anywhere:
#
#   sh tests/radial/mutations.sh [CC]
#
# Takes about a minute. Exit status 1 when a mutation survives or no longer applies. Last run, gcc 12:
# all 53 caught.
set -eu
cc=${1:-cc}
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
survived=0

build_and_run() { # folder; 0 when the tests pass
  (cd "$1" &&
    core="core/base/arena.c core/radial/fan.c core/radial/fan_kernel.c core/radial/geometry.c core/radial/kernel.c core/radial/line.c core/radial/outline.c core/radial/sweep.c core/radial/tangents.c core/radial/zones.c" &&
    for test in "test_sweep.c tests/radial/plain.c tests/radial/families.c plugins/common/delta_bullington.c plugins/common/delta_bullington_all.c plugins/common/delta_bullington_kernel.c" test_line.c test_fan.c; do
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

T=core/radial/tangents.c S=core/radial/sweep.c C=core/radial/crest.h M=core/radial/smooth.h O=core/radial/outline.c G=core/radial/geometry.c H=core/radial/hull.h L=core/radial/line.c Z=core/radial/zones.c
F=core/radial/fan.c K=core/radial/fan_kernel.c D=plugins/common/delta_bullington.c A=plugins/common/delta_bullington_kernel.c

mutate "no scan of the edges beside the valley" $C 's/^    es_crest_scan_edge(c, l, v, v.*/    ;/'
mutate "only the edge after the valley is scanned" $C 's/^    es_crest_scan_edge(c, l, v, v, .*/    ;/'
mutate "only the edge before the valley is scanned" $C 's/^    es_crest_scan_edge(c, l, v, v + 1, .*/    ;/'
mutate "the valley is walked to the right only" $C '/t > 0 && (next = es_crest_v2/d'
mutate "the scan starts a sample late" $C 's/from - margin) + 1;/from - margin) + 3;/'
mutate "blocks passed over by their worst end" $C 's/v2 \* x_last \* (l->dist - x_first)/v2 * x_first * (l->dist - x_last)/'
mutate "blocks measured where the line is highest" $C 's/l->slope > 0.0 ? x_first : x_last/l->slope > 0.0 ? x_last : x_first/'
mutate "the top of a block is its first sample" $C 's/top = g\[i\] > top ? g\[i\] : top/top = top/'
mutate "|C| for C on the actual profile" $T 's/0.5e-3 \* curvature_per_km\[c + i\]/0.5e-3 * fabs(curvature_per_km[c + i])/'
mutate "a horizon is taken from the first of its ties" $S 's/s->seen\[i\] >= s->rise.slope/s->seen[i] > s->rise.slope/'
mutate "the receiver's own bulge is left out" $S 's/w->at\[r\].antenna_m - k \* dist \* dist/w->at[r].antenna_m/'
mutate "outlines: a horizon from the last but one vertex" $H 's/>= (h->y\[t + k - 1\] - y) \* h->x\[t + k\]/> 1.0001 * (h->y[t + k - 1] - y) * h->x[t + k]/'
mutate "outlines: made from one that bends less" $O 's/is->crest.k >= k \&\&/is->crest.k <= k \&\&/'
mutate "outlines: the receiver's own bulge is left out" $O 's/h_rx - c->k \* o->dist_m \* o->dist_m/h_rx/'
mutate "outlines: another receiver on the line is taken for the same" $O 's/ \&\& o->last == last \&\& o->dist_m == dist_m//'
mutate "outlines: the fit begins in the middle" $O 's/es_fit_to(&o->fit/es_fit_to(\&(es_fit){.i = o->last \/ 2}/'
mutate "canopy to the very ends" $T 's/bool bare = .*/bool bare = x < 0.0;/'
mutate "the hull keeps hollows" $H 's/size_t b = a \& .*/size_t b = 0;/; s/, b = a \& (size_t)es_hull_reaches(h, top - 1, x, y)/, b = 0/; s/while (hidden == ES_HULL_AT_ONCE)/while (0)/'
mutate "the sums of the fit lag a sample behind" $S 's/v1\[i\] += v1\[i - 1\]/v1[i] = v1[i - 1]/'
mutate "a receiver asks a sample late" $S 's/l->next <= i;/l->next < i;/'
mutate "the summit is where the listener looks" $S 's/l->summit\[r\] = above.summit/l->summit[r] = above.edge/'
mutate "the listener's slope is left out" $S 's/if (at != SIZE_MAX) hulls/if (0) hulls/'
mutate "the tangent stops one vertex early" $H 's/at + __builtin_popcount(answers) - 1)/at + (__builtin_popcount(answers) > 1 ? __builtin_popcount(answers) - 2 : 0))/'
mutate "no obstruction terms" $M 's/return o->height_m > 0.0 ?/return 0 ?/'
mutate "obstruction shares swapped" $M 's/fit.tx - share \* o->from_tx/fit.tx - share * o->from_rx/'
mutate "smooth earth not held to the ground" $M 's/(es_ends){es_smooth_lower(fit.tx, h0)/(es_ends){fit.tx/'
mutate "the last half segment is left out of the fit" $M '/es_fit_segment(&v1, &v2, line->dist_m\[last\]/d'
mutate "roughness between the wrong horizons" $G 's/to = t->los\[r\] ? hull->clear_at : hull->rx_at;/to = t->los[r] ? hull->clear_at : hull->tx_at;/'
mutate "blocks passed over by their highest base" $G 's/s->slope > 0.0 ? i : end/s->slope > 0.0 ? end : i/'
mutate "two judges of the line of sight" $G 's/|| hull->clear_at != SIZE_MAX;/|| hull->tx_slope < direct;/'
mutate "common volume without the bulge" $G 's/ + 0.5 \* d \* d \/ radius//'
mutate "sea measured to the sample, not the half step" $Z 's/0.5 \* (line->dist_m\[next - 1\] + line->dist_m\[next\])/line->dist_m[next]/'
mutate "a gap is bridged whatever its length" $L 's/> fill_gap_m) break;/> 1e9) break;/'
mutate "bridged samples pass for measured" $L 's/known\[i\] = BRIDGED/known[i] = MEASURED/'
mutate "a ray owns both its borders" $F 's/(-s->r < e2)/(-s->r <= e2)/'
mutate "all rings: a ray owns both its borders" $K 's/(-r < e2)/(-r <= e2)/'
mutate "all rings: the ray is rounded down" $K 's/w->k2 \* r + reach,/w->k2 * r,/'
mutate "all wedges take the diagonal" $F 's/\.side = ray->wedge == .*}/.side = 1}/'
mutate "Cp for 1/Reffp on the smooth profile" $D 's/0.5e-3 \/ setup->radius_km/0.5e-3 * setup->curvature_per_km/'
mutate "only the sample before the extreme" $D 's/if (i == last) return here;/return here;/'
mutate "the cubic's root by one step" $D 's/return 2.0 \* sqrt((m + 1.0).*;/return c \/ (m + 1.0);/'
mutate "no Bullington correction" $D 's/return knife_db + (1.0.*;/return knife_db;/'
mutate "grazing judged twice" $D 's/if (isnan(hull->clear_v2)).*/if (hull->tx_slope >= line_slope)/'
mutate "height gain without its floor" $D 's/return fmax(g, 2.0 + 20.0 \* log10(k));/return g;/'
mutate "sea and land swapped" $D 's/(1.0 - sea_share) \* first_term(s, &LAND/(1.0 - sea_share) * first_term(s, \&SEA/'
mutate "the skip test loosened" $A 's/1.005 \* required/0.9 * required/'
mutate "the skip test from c/(m+1)" $A 's/double b0 = ratio .*/double b0 = ratio \/ (m + 1.0);/'
mutate "all at once: only the sample before the extreme" $A 's/smaller(i + 1.0, p->last)/i/'
mutate "all at once: no spherical earth" $A 's/if (p.land) add_first_term/if (0) add_first_term/'
mutate "all at once: the arc sine's series for all" $A 's/wide |= fabs(z) >= 0.5/wide |= 0/'
mutate "all at once: no path is short" $A 's/near |= x < 1.6/near |= 0/'
mutate "all at once: one radius for all" $A 's/other |= p->share\[j\] >= 0.0/other |= 0/'
mutate "all at once: |C| for C" $A 's/500.0 \* s->curvature_per_km/500.0 * fabs(s->curvature_per_km)/'
exit $survived
