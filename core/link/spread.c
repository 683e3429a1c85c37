/* spread.c - see spread.h. Source: sums of independent normal variables; the mixture over time is summed over 400 equal
 * shares of the year. 1.2816 is the normal deviate of 90 %. */
#include "link/spread.h"

#include <math.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "link/chance.h"

extern const char es_model_sigma_usual_csv[], es_model_sigma_csv[]; /* put into the library by the build */

static const double DEVIATE_90 = 1.2815515655446004;
static const double SMALL_DB = 1e-9;
/* After a step so short a next one would be about its cube over sigma squared. */
static const double LAST_STEP_SIGMAS = 5e-3;
enum { LONGEST = 64 };

const char *const es_sigma_names[ES_SIGMAS] = {"power", "pattern", "model", "foliage", "ear"};

/* --- the model's own sigma ----------------------------------------------------------------------------------------- */

/* Which kinds a word of the table means. */
static bool kind_named(const char *word, es_way_kind kind) {
  static const char *const names[ES_WAY_KINDS] = {"los-land", "los-water", "edge", "edges", "scatter", "duct"};
  static const char *const ways[ES_WAY_KINDS] = {"", "", "surface", "surface", "troposcatter", "ducting"};
  return word[0] != '\0' && (strcmp(word, names[kind]) == 0 || strcmp(word, ways[kind]) == 0);
}

/* "any", or two numbers in GHz with a hyphen between. */
static bool in_band(const char *band, double freq_ghz, bool *good) {
  double low, high;
  char end;
  *good = true;
  if (band[0] == '\0' || strcmp(band, "any") == 0) return true;
  *good = sscanf(band, "%lf-%lf%c", &low, &high, &end) == 2 && low <= high;
  return *good && freq_ghz >= low && freq_ghz <= high;
}

static void take_row(const es_text_table *t, size_t row, const size_t at[4], const char *name, double freq_ghz,
                     es_model_sigma *out, es_faults *faults) {
  double sigma;
  bool good;
  const char *way = es_text_table_cell(t, row, at[0]);
  bool meets = in_band(at[1] == SIZE_MAX ? "any" : es_text_table_cell(t, row, at[1]), freq_ghz, &good);
  if (!good)
    es_fault_add(faults, name, es_text_table_line(t, row), "band=%s: want any, or two numbers in GHz as 8-12",
                 es_text_table_cell(t, row, at[1]));
  if (!es_text_table_number(t, row, at[2], 0.0, 40.0, &sigma, faults) || !meets || isnan(sigma)) return;
  for (int kind = 0; kind < ES_WAY_KINDS; kind++) {
    if (!kind_named(way, (es_way_kind)kind)) continue;
    out->db[kind] = sigma;
    snprintf(out->basis[kind], sizeof out->basis[kind], "%s",
             at[3] != SIZE_MAX && es_text_table_cell(t, row, at[3])[0] != '\0' ? es_text_table_cell(t, row, at[3])
                                                                               : name);
  }
}

static size_t either_column(const es_text_table *t, const char *name, const char *other) {
  size_t column = es_text_table_column(t, name);
  return column != SIZE_MAX ? column : es_text_table_column(t, other);
}

bool es_model_sigma_parse(const char *name, const char *text, double freq_ghz, es_model_sigma *out, es_faults *faults) {
  es_error err = {0};
  size_t before = faults->n_faults;
  es_text_table *t = es_text_table_parse(name, text, strlen(text), &err);
  if (t == NULL) {
    es_fault_error(faults, NULL, &err);
    return false;
  }
  const size_t at[4] = {es_text_table_column(t, "way"), either_column(t, "band_ghz", "band"),
                        either_column(t, "sigma_db", "sigma"), es_text_table_column(t, "basis")};
  if (at[0] == SIZE_MAX || at[2] == SIZE_MAX)
    es_fault_add(faults, name, 1, "header: want the columns way, band_ghz and sigma_db");
  else
    for (size_t r = 0; r < es_text_table_rows(t); r++) take_row(t, r, at, name, freq_ghz, out, faults);
  es_text_table_close(t);
  return faults->n_faults == before;
}

bool es_model_sigma_builtin(double freq_ghz, es_model_sigma *out, es_faults *faults) {
  for (int kind = 0; kind < ES_WAY_KINDS; kind++) out->db[kind] = NAN;
  bool ok = es_model_sigma_parse("model_sigma_usual.csv (built in)", es_model_sigma_usual_csv, freq_ghz, out, faults);
  ok &= es_model_sigma_parse("model_sigma.csv (built in)", es_model_sigma_csv, freq_ghz, out, faults);
  for (int kind = 0; kind < ES_WAY_KINDS; kind++) ok &= !isnan(out->db[kind]);
  return ok;
}

/* --- sums ---------------------------------------------------------------------------------------------------------- */

static double sum_of(const es_spread *s, int n) {
  double sum = 0.0;
  for (int i = 0; i < n; i++) sum += s->db[i] * s->db[i];
  return sqrt(sum);
}

double es_spread_level_db(const es_spread *s) { return sum_of(s, ES_SIGMA_EAR); }
double es_spread_heard_db(const es_spread *s) { return sum_of(s, ES_SIGMAS); }

static double deviate[ES_SHARES]; /* of the middle of each share of the year */
static pthread_once_t deviates_once = PTHREAD_ONCE_INIT;

static double middle_of(size_t i) { return ((double)i + 0.5) / ES_SHARES; }

static void fill_deviates(void) {
  for (size_t i = 0; i < ES_SHARES; i++) deviate[i] = es_normal_deviate(middle_of(i));
}

/* Equal shares of the year: what is reached in each, and how far that may be off. */
typedef struct shares {
  double value[ES_SHARES], sigma[ES_SHARES],
      per_sigma[ES_SHARES]; /* the last: 1 / sigma, infinite where there is none */
  double low, high;         /* beyond them every chance is 1, or 0 */
  double least_sigma;
} shares;

/* Linear in the normal deviate between percentages, as es_snr_at() has it; all shares in one pass over them. */
static void share_out(const double *percent, const double *value_db, const double *sigma_db, size_t n, shares *s) {
  s->low = INFINITY;
  s->high = -INFINITY;
  s->least_sigma = INFINITY;
  double from = NAN, to = NAN; /* deviates of the percentages on either side */
  pthread_once(&deviates_once, fill_deviates);
  for (size_t i = 0, k = 0, known = 0; i < ES_SHARES; i++) {
    double p = 100.0 * middle_of(i);
    while (k < n && percent[k] < p) k++;
    size_t at = k < n ? k : n - 1;
    s->value[i] = value_db[at];
    s->sigma[i] = sigma_db[at];
    if (k > 0 && k < n) {
      if (known != k) from = es_normal_deviate(percent[k - 1] / 100.0), to = es_normal_deviate(percent[k] / 100.0);
      known = k;
      double share = (deviate[i] - from) / (to - from);
      s->value[i] = value_db[k - 1] + share * (value_db[k] - value_db[k - 1]);
      s->sigma[i] = sigma_db[k - 1] + share * (sigma_db[k] - sigma_db[k - 1]);
    }
    s->per_sigma[i] = 1.0 / s->sigma[i];
    s->least_sigma = fmin(s->least_sigma, s->sigma[i]);
    s->low = fmin(s->low, s->value[i] - 8.0 * s->sigma[i]);
    s->high = fmax(s->high, s->value[i] + 8.0 * s->sigma[i]);
  }
}

/* What it would be if the year were normal, too: both deviations by root-sum-square. */
static double guess_of(const shares *s, double wanted) {
  size_t half = ES_SHARES / 2, at = (size_t)es_clamp(wanted * ES_SHARES, 0.0, ES_SHARES - 1.0);
  double weather = s->value[at] - s->value[half], doubt = s->sigma[half] * es_normal_deviate(wanted);
  return s->value[half] + copysign(hypot(weather, doubt), 0.5 - wanted);
}

/* Halley's steps from a good guess, between bounds that close in; where a step would leave them, half-way. */
static double value_of(const shares *s, double wanted) {
  double low = s->low, high = s->high, at = es_clamp(guess_of(s, wanted), s->low, s->high);
  for (int round = 0; round < 60 && high - low > SMALL_DB; round++) {
    es_chance c = es_chance_of(s->value, s->per_sigma, at);
    double apart = c.is - wanted;
    if (apart >= 0.0)
      low = at;
    else
      high = at;
    double next = at - 2.0 * apart * c.slope / (2.0 * c.slope * c.slope - apart * c.bend);
    bool inside = c.slope < 0.0 && next > low && next < high;
    if (inside && fabs(next - at) < LAST_STEP_SIGMAS * s->least_sigma) return next;
    at = inside ? next : 0.5 * (low + high);
  }
  return at;
}

void es_spread_values_at(const double *percent, const double *value_db, const double *sigma_db, size_t n,
                         const double *chance_percent, size_t n_chances, double *out) {
  shares s;
  bool known = true;
  for (size_t k = 0; k < n; k++) known = known && isfinite(value_db[k]);
  if (known) share_out(percent, value_db, sigma_db, n, &s);
  for (size_t c = 0; c < n_chances; c++) out[c] = known ? value_of(&s, chance_percent[c] / 100.0) : NAN;
}

double es_spread_value_at(const double *percent, const double *value_db, const double *sigma_db, size_t n,
                          double chance_percent) {
  double value;
  es_spread_values_at(percent, value_db, sigma_db, n, &chance_percent, 1, &value);
  return value;
}

es_heard es_spread_heard(const double *percent, const double *snr_db, const double *sigma_db, size_t n,
                         double needed_db) {
  double shifted[LONGEST];
  es_heard h = {es_heard_percent(percent, snr_db, n, needed_db), NAN, NAN};
  if (n > LONGEST) return h;
  for (size_t k = 0; k < n; k++) shifted[k] = snr_db[k] - DEVIATE_90 * sigma_db[k];
  h.low_percent = es_heard_percent(percent, shifted, n, needed_db);
  for (size_t k = 0; k < n; k++) shifted[k] = snr_db[k] + DEVIATE_90 * sigma_db[k];
  h.high_percent = es_heard_percent(percent, shifted, n, needed_db);
  return h;
}

double es_spread_confidence(double snr_db, double needed_db, double sigma_db) {
  if (!(sigma_db > 0.0)) return snr_db >= needed_db ? 100.0 : 0.0;
  return 100.0 * es_normal_share((snr_db - needed_db) / sigma_db);
}
