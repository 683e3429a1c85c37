#include "run/cell_range.h"

#include <math.h>
#include <string.h>

#include "base/large.h"
#include "output/output.h"
#include "run/path.h"

static const double SIGMAS_80 = 1.2815515655446004; /* of a normal distribution, 80 % lie within */
static const double LEAST_DB = 0.05;                /* nearer than this two points give no slope */

static double share_of(double deviate) { return 100.0 * es_normal_share(deviate); }

double es_share_met(const double *percent, const double *snr_db, size_t n, double need_db) {
  size_t k = 1;
  if (n < 2) return NAN;
  while (k + 1 < n && snr_db[k] >= need_db) k++;
  double z0 = es_normal_deviate(percent[k - 1] / 100.0), z1 = es_normal_deviate(percent[k] / 100.0);
  double fall = snr_db[k - 1] - snr_db[k];
  if (fall < LEAST_DB) return need_db > snr_db[k - 1] ? 0.0 : 100.0;
  return share_of(z0 + (z1 - z0) * (snr_db[k - 1] - need_db) / fall);
}

/* --- sigmas ---------------------------------------------------------------------------------------------------------------- */

typedef struct sigmas {
  double by_kind[ES_WAY_KINDS][2]; /* without and with trees */
} sigmas;

static sigmas sigmas_of(const es_setup *setup) {
  sigmas s;
  for (int kind = 0; kind < ES_WAY_KINDS; kind++)
    for (int trees = 0; trees < 2; trees++)
      s.by_kind[kind][trees] =
          es_usual_sigma_db(setup, &setup->job->map.receiver, (es_way_kind)kind, trees ? INFINITY : 0.0);
  return s;
}

static double sigma_at(const sigmas *s, const es_map_cells *cells, const es_map_layers *l, size_t c) {
  int way = (int)l->way_median[c];
  bool trees = way >= ES_MAP_TREES;
  if (way == ES_SCATTER) return s->by_kind[ES_KIND_SCATTER][0];
  if (way == ES_DUCT) return s->by_kind[ES_KIND_DUCT][0];
  if (l->los[c] > 0.5f)
    return s->by_kind[es_map_cell_zone(cells, c) == ES_ZONE_SEA ? ES_KIND_LOS_WATER : ES_KIND_LOS_LAND][trees];
  return fmax(s->by_kind[ES_KIND_EDGE][trees], s->by_kind[ES_KIND_EDGES][trees]);
}

/* --- cells ------------------------------------------------------------------------------------------------------------------ */

/* What is known of a cell's distribution over time: percentages rise, SNR falls. */
typedef struct known_points {
  double percent[17], snr_db[17];
  size_t n;
} known_points;

static void add_point(known_points *k, double percent, double snr_db) {
  size_t at = k->n;
  while (at > 0 && k->percent[at - 1] > percent) at--;
  if (at > 0 && k->percent[at - 1] == percent) return;
  memmove(&k->percent[at + 1], &k->percent[at], (k->n - at) * sizeof *k->percent);
  memmove(&k->snr_db[at + 1], &k->snr_db[at], (k->n - at) * sizeof *k->snr_db);
  k->percent[at] = percent;
  k->snr_db[at] = snr_db;
  k->n++;
}

/* The layers' percentages, and the share itself, at which the need is just met. */
static known_points points_of(const es_map_layers *l, size_t c, double need_db) {
  known_points k = {.n = 0};
  double heard = (double)l->heard_percent[c];
  for (size_t i = 0; i < l->n_percent; i++) add_point(&k, l->percent[i], (double)l->snr_db[i][c]);
  if (heard > 0.0 && heard < 100.0) add_point(&k, heard, need_db);
  return k;
}

static double need_of(const es_setup *setup) {
  const es_mode *mode = es_mode_find(&setup->job->modes, setup->job->map.receiver.mode);
  return mode != NULL ? mode->snr_2500_db : NAN;
}

/* Of layers on the disk all are in use here. */
enum { CELLS_AT_A_TIME = 1 << 18 };

static void rest(const es_setup *setup, const es_map_layers *l, const es_cell_range *range) {
  if (setup->scratch == NULL) return;
  es_map_layers_rest(l);
  es_large_rest(range->low_percent);
  es_large_rest(range->high_percent);
}

int32_t es_cell_range_make(const es_setup *setup, const es_map_cells *cells, const es_map_layers *l, es_cell_range *out,
                           es_error *err) {
  out->low_percent = es_map_layer_create(setup, l->n_cells);
  out->high_percent = es_map_layer_create(setup, l->n_cells);
  if (out->low_percent == NULL || out->high_percent == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  sigmas s = sigmas_of(setup);
  double need = need_of(setup);
  for (size_t c = 0; c < l->n_cells; c++) {
    double heard = (double)l->heard_percent[c], low = NAN, high = NAN;
    if (!isnan(heard) && !isnan(need)) {
      known_points k = points_of(l, c, need);
      double off = SIGMAS_80 * sigma_at(&s, cells, l, c);
      low = fmin(es_share_met(k.percent, k.snr_db, k.n, need + off), heard);
      high = fmax(es_share_met(k.percent, k.snr_db, k.n, need - off), heard);
    }
    out->low_percent[c] = (float)low;
    out->high_percent[c] = (float)high;
    if (c % CELLS_AT_A_TIME == CELLS_AT_A_TIME - 1) rest(setup, l, out);
  }
  rest(setup, l, out);
  return 0;
}

void es_cell_range_free(es_cell_range *range) {
  es_large_free(range->low_percent);
  es_large_free(range->high_percent);
  *range = (es_cell_range){0};
}
