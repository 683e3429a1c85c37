#include "cli/trees_text.h"

#include <math.h>
#include <stdio.h>

#include "run/table.h"

static void print_block(const es_blocking *b, double under_m, const char *end) {
  static const char *const kinds[] = {"something", "broadleaf trees", "conifers", "trees", "a building or ridge"};
  if (under_m > 0.0) printf("  the antenna at the %s is %.1f m below its own canopy\n", end, under_m);
  if (!b->any) return;
  printf("  %s %.0f m from the %s, %.0f m deep: the ray is %.1f m %s the top (%.2f first Fresnel zones)\n",
         kinds[b->leaf < 5 ? b->leaf : 0], b->from_m, end, b->depth_m, fabs(b->below_m),
         b->below_m >= 0.0 ? "below" : "above", fabs(b->below_f1));
  if (isnan(b->extra_m))
    printf("    they stand on the horizon: more height at the %s does not clear them\n", end);
  else
    printf("    %.1f m more height at the %s clears everything there by 0.6 of the zone\n", b->extra_m, end);
}

static void print_methods(const es_trees_answer *t) {
  for (int w = 0; w < 3; w++) {
    if (isnan(t->end_db[w]) || !(t->end_db[w] > 0.0)) continue;
    printf("  %-14s %8.2f dB;", es_way_name((uint8_t)(1 << w)), t->end_db[w]);
    for (int m = 0; m < ES_THROUGH_METHODS; m++) printf(" %s %.1f", es_through_names[m], t->method_db[w][m]);
    printf("\n");
  }
}

void es_trees_print(const es_setup *setup, const es_path_answer *a) {
  const es_trees_answer *t = &a->trees;
  if (!t->stands) return;
  printf("Trees and buildings, half of the time\n");
  print_methods(t);
  if (!isnan(t->low_db))
    printf("  by the methods on offer %.1f, %.1f, %.1f dB (low, middle, high)\n", t->low_db, t->middle_db, t->high_db);
  if (!isnan(t->no_trees_loss_db))
    printf("  without any of it: loss %.1f dB, SNR %.1f dB\n", t->no_trees_loss_db, t->no_trees_snr_db);
  print_block(&t->block[ES_BEACON], t->under_m[ES_BEACON], "beacon");
  print_block(&t->block[ES_LISTENER], t->under_m[ES_LISTENER], "listener");
  if (!isnan(t->trimmed_snr_db))
    printf("  with trees cut to %g m: loss %.1f dB, SNR %.1f dB\n", setup->job->trees.trim_to_m, t->trimmed_loss_db,
           t->trimmed_snr_db);
  if (!isnan(t->flutter_db))
    printf("  wind of %g m/s: flutter of %.1f dB (standard deviation) at about %.1f Hz; wet leaves take 2 to 5 dB more "
           "for "
           "some 10 m (neither verified)\n",
           setup->job->trees.wind_m_s, t->flutter_db, t->flutter_hz);
}
