#include "sigma.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stats.h"

const char *const truth_band_names[TRUTH_BANDS] = {"1-5", "5-20"};

enum { FEWEST_PATHS = 5, FEWEST_VALUES = 15 };                 /* below either a cell borrows from its neighbours */
static const double SHARE = 0.8, DEVIATE = 1.2815515655446004; /* two-sided 80 % of the normal distribution */

int truth_band_of(double freq_ghz) { return freq_ghz >= 5.0; }

static bool left_out(const truth_bank *bank, size_t path, size_t without, bool whole_group) {
  if (without == SIZE_MAX) return false;
  return path == without || (whole_group && strcmp(bank->paths[path].group, bank->paths[without].group) == 0);
}

static bool belongs(const truth_bank *bank, const truth_answer *answer, size_t i, int way, int band,
                    truth_basis basis) {
  int own = truth_band_of(bank->paths[bank->values[i].path].freq_ghz);
  if (bank->values[i].percent > 50.0 || isnan(answer->loss_db[i])) return false;
  if (basis == TRUTH_OWN_CELL) return answer->way[i] == way && own == band;
  return basis == TRUTH_OTHER_BAND_TOO ? answer->way[i] == way : own == band;
}

static truth_sigma gather(const truth_bank *bank, const truth_answer *answer, int way, int band, size_t without,
                          bool whole_group, truth_basis basis, double *error) {
  truth_sigma s = {NAN, 0.0, 0, 0, basis};
  size_t last = SIZE_MAX;
  for (size_t i = 0; i < bank->n_values; i++) {
    const truth_value *v = &bank->values[i];
    if (!belongs(bank, answer, i, way, band, basis) || left_out(bank, v->path, without, whole_group)) continue;
    double e = answer->loss_db[i] - v->measured_db;
    s.bias_db += e;
    error[s.n++] = fabs(e);
    s.paths += v->path != last;
    last = v->path;
  }
  if (s.n == 0) return s;
  s.bias_db /= (double)s.n;
  truth_sort(error, s.n);
  s.sigma_db = truth_quantile(error, s.n, SHARE) / DEVIATE;
  return s;
}

truth_sigma truth_sigma_of(const truth_bank *bank, const truth_answer *answer, int way, int band, size_t without,
                           bool whole_group) {
  truth_sigma s = {NAN, NAN, 0, 0, TRUTH_ALL_WAYS};
  double *room = calloc(bank->n_values, sizeof *room);
  if (room == NULL) return s;
  for (truth_basis basis = TRUTH_OWN_CELL; basis <= TRUTH_ALL_WAYS; basis++) {
    s = gather(bank, answer, way, band, without, whole_group, basis, room);
    if (s.paths >= FEWEST_PATHS && s.n >= FEWEST_VALUES) break;
  }
  free(room);
  return s;
}

double truth_sigma_check(const truth_bank *bank, const truth_answer *answer, bool whole_group) {
  size_t held = 0, n = 0;
  for (size_t i = 0; i < bank->n_values; i++) {
    const truth_value *v = &bank->values[i];
    if (v->percent > 50.0) continue;
    int band = truth_band_of(bank->paths[v->path].freq_ghz);
    double sigma_db = truth_sigma_of(bank, answer, answer->way[i], band, v->path, whole_group).sigma_db;
    if (isnan(sigma_db)) return NAN;
    held += fabs(answer->loss_db[i] - v->measured_db) <= DEVIATE * sigma_db;
    n++;
  }
  return 100.0 * (double)held / (double)n;
}

void truth_sigma_write(FILE *to, const truth_bank *bank, const truth_answer *answer, const char *basis) {
  static const char *const also[] = {"own values", "both bands", "all ways of the band"};
  fprintf(to,
          "# spread of the prediction about measured basic transmission loss | made by tests/truth/run.sh; method and "
          "check "
          "in docs/truth.md | units: GHz, dB; sigma = 80 %% quantile of |error| / 1.2816; bias = mean of prediction "
          "minus measurement, told and not applied\n"
          "way,band_ghz,sigma_db,bias_db,n,basis\n");
  for (int way = 0; way < TRUTH_WAYS; way++)
    for (int band = 0; band < TRUTH_BANDS; band++) {
      truth_sigma s = truth_sigma_of(bank, answer, way, band, SIZE_MAX, false);
      fprintf(to, "%s,%s,%.1f,%+.1f,%zu,\"%s; %s, %zu paths\"\n", truth_way_names[way], truth_band_names[band],
              s.sigma_db, s.bias_db, s.n, basis, also[s.basis], s.paths);
    }
}
