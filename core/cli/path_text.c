/* path_text.c - see path_text.h. */
#include "cli/path_text.h"

#include <math.h>
#include <stdio.h>

#include "base/units.h"
#include "cli/print_answer.h"
#include "cli/trees_text.h"
#include "run/table.h"

static void print_geometry(const es_path_answer *a) {
  printf("  distance %.2f km, bearing %.1f, back %.1f degrees\n", a->course.dist_m / 1e3, a->course.azimuth_deg,
         a->course.back_azimuth_deg);
  printf("  %s; leaves at %+.2f, arrives at %+.2f degrees\n", a->los ? "line of sight" : "beyond the horizon",
         es_deg(a->el_tx), es_deg(a->el_rx));
  if (isfinite(a->clearance_m))
    printf("  least clearance %.1f m (%.2f first Fresnel zones) at %.2f km\n", a->clearance_m, a->clearance_f1,
           a->worst_m / 1e3);
}

static void print_loss(const es_percentages *p, const es_path_answer *a) {
  size_t m = p->median;
  for (size_t i = 0; i < a->n_terms; i++) printf("  %-14s %8.2f dB (surface way)\n", a->term_id[i], a->term_db[i][m]);
  for (int i = 0; i < ES_WAYS; i++)
    if (a->way_db[i] != NULL) printf("  %-14s %8.2f dB (whole way)\n", es_way_name((uint8_t)(1 << i)), a->way_db[i][m]);
  printf("  %-14s %8.2f dB, carried by %s\n", "all together", a->basic_db[m], es_way_name(a->winner[m]));
}

static void print_times(const es_percentages *p, const es_path_answer *a) {
  printf("  %10s %10s %10s %10s  %s\n", "time, %", "loss, dB", "level, dBm", "SNR, dB", "carried by");
  for (size_t k = 0; k < a->n; k++)
    printf("  %10g %10.1f %10.1f %10.1f  %s\n", p->value[k], a->basic_db[k], a->level_dbm[k], a->snr_db[k],
           es_way_name(a->winner[k]));
}

static void print_budget(const es_path_answer *a) {
  printf("Budget\n  EIRP %.1f dBm (ERP %.1f dBm) toward it, receiving gain %.1f dBi, system %.0f K, noise %.1f dBm in "
         "2500 Hz\n",
         a->eirp_dbm, a->eirp_dbm - ES_ERP_TO_EIRP_DB, a->gain_rx_dbi, a->noise.system_k, a->noise.noise_2500_dbm);
}

/* Weighed are the shares of the year, not the dB. */
static void print_year(const es_path_view *view, const es_listener *l) {
  const es_year_figure *y = &view->year;
  if (!y->known) return;
  printf("Both seasons in one year, %g months in leaf\n  ", view->setup->job->trees.leaf_months);
  for (int i = 0; i < 3; i++)
    if (!isnan(y->snr_db[i])) printf("%sSNR %.1f dB for %g %%", i > 0 ? ", " : "", y->snr_db[i], es_chance_percent[i]);
  if (!isnan(y->heard_percent)) printf("; heard %.1f %% of the year in mode %s", y->heard_percent, l->rx.mode);
  printf("\n");
}

static void print_answer(const es_path_view *view, const es_listener *l) {
  const es_path_answer *a = &view->answer;
  print_geometry(a);
  printf("Loss, half of the time (chain %s)\n", es_chain_name(view->setup->chain.kind));
  print_loss(&view->percents, a);
  es_trees_print(view->setup, a);
  print_budget(a);
  if (view->setup->timed) printf("By time of the year\n");
  print_times(&view->percents, a);
  es_print_doubt(view->setup, a);
  if (!isnan(a->heard_percent))
    printf("Heard %.1f %% of the year in mode %s (needs %.1f dB in 2500 Hz)\n", a->heard_percent, l->rx.mode,
           a->needed_db);
  print_year(view, l);
  es_print_verdict(a);
}

/* --- two chains side by side -------------------------------------------------------------------------------------- */

/* Index of a percentage, or SIZE_MAX where a chain has no answer for it. */
static size_t find_percent(const es_percentages *p, double percent) {
  for (size_t k = 0; k < p->n; k++)
    if (p->value[k] == percent) return k;
  return SIZE_MAX;
}

static void print_side(const es_path_view *view, size_t k) {
  if (k == SIZE_MAX)
    printf(" | %9s %9s  %-12s", "-", "-", "");
  else
    printf(" | %9.1f %9.1f  %-12s", view->answer.basic_db[k], view->answer.snr_db[k],
           es_way_name(view->answer.winner[k]));
}

static void print_both(const es_path_view *a, const es_path_view *b) {
  printf("Two chains that know nothing of each other\n  %10s | %-32s | %-32s |\n", "",
         es_chain_name(a->setup->chain.kind), es_chain_name(b->setup->chain.kind));
  printf("  %10s", "time, %");
  for (int i = 0; i < 2; i++) printf(" | %9s %9s  %-12s", "loss, dB", "SNR, dB", "carried by");
  printf(" | apart, dB\n");
  for (size_t k = 0; k < a->percents.n; k++) {
    size_t other = find_percent(&b->percents, a->percents.value[k]);
    printf("  %10g", a->percents.value[k]);
    print_side(a, k);
    print_side(b, other);
    if (other == SIZE_MAX)
      printf(" |\n");
    else
      printf(" | %+9.1f\n", b->answer.basic_db[other] - a->answer.basic_db[k]);
  }
}

/* --- climate ------------------------------------------------------------------------------------------------------ */

static void print_climate(const es_path_view *view) {
  const es_course *course = &view->answer.course;
  es_lonlat centre = es_geodesic_ahead(view->setup->job->beacon.at, course->azimuth_deg, 0.5 * course->dist_m);
  printf("Climate at the middle of the path\n  %-24s %10s  %-6s source\n", "key", "value", "unit");
  for (int i = 0; i < ES_CLIMATE_KEYS; i++) {
    es_climate_key key = (es_climate_key)i;
    es_climate_source source;
    double value = es_climate_value(view->setup->climate, key, 0, centre, &source);
    printf("  %-24s %10.6g  %-6s %s\n", es_climate_key_name(key), value, es_climate_key_unit(key),
           es_climate_source_name(source));
  }
}

void es_path_print(const es_path_view *views, size_t n, const es_scenario *scenario, const es_listener *listener) {
  const es_path_answer *a = &views[0].answer;
  printf("%s, %s\n", listener->name, scenario->name);
  if (a->status != ES_OK) {
    printf("  no answer: the ground is known for %.2f of %.2f km\n", a->reach_m / 1e3, a->course.dist_m / 1e3);
    return;
  }
  print_answer(&views[0], listener);
  if (n == 2) print_both(&views[0], &views[1]);
  print_climate(&views[0]);
}
