/* gases.c - absorption by oxygen and water vapour.
 *
 * Source:  ITU-R P.676-13 (08/2022) Annex 1 line by line, or ITU-R P.2001-6 (09/2025) Attachment F: a setting
 * Given:   frequency, GHz; surface vapour density, g/m3; by line also pressure of dry air, hPa, and temperature, degC
 * Gives:   dB of dry air and vapour over a whole path or over one leg to the common volume; the same at every percentage.
 *          rain_extra: dB more of vapour while it rains (Attachment F.5), weighted by the host
 * Check:   F.2: 10.368 GHz, 7.5 g/m3, 100 km, profile of the page -> Ao 0.79002, Aw 0.72990, Awr 0.77820 dB           */
#include "common/p676.h"
#include "earshot/model.h"

#include <math.h>
#include <stdbool.h>

enum convention { P526, P2001, P452 };

static const double KELVIN = 273.15;
static const double F_MAX_GHZ = 54.0;     /* Attachment F: (F.6.1) has no value above */
static const double LINE_MIN_GHZ = 1.0;   /* P.676-13 Annex 1 */
static const double RAIN_HEIGHT_M = 2600; /* (F.5.1) */

static const es_setting settings[] = {
    {.key = "convention",
     .unit = "",
     .help = "P.676 line by line with the surface vapour (p526), or with 7.5 g/m3 and 2.5 more at sea (p452); "
             "or P.2001 attachment F (p2001)",
     .min = P526,
     .max = P452,
     .fallback = P2001,
     .choices = "p526|p2001|p452"},
};

typedef struct gases {
  enum convention convention;
} gases;

static const gases models[] = {{P526}, {P2001}, {P452}};

/* dB of one path or leg. `rain` takes the place of `vapour` while it rains; NaN when the convention knows no such thing. */
typedef struct loss {
  double dry, vapour, rain;
} loss;

static int32_t create(const double *values, void **self, es_error *err) {
  (void)err;
  *self = (void *)&models[values[0] < 0.5 ? P526 : values[0] < 1.5 ? P2001 : P452];
  return ES_OK;
}

/* ---- Attachment F ---- */

/* (F.6.1), dB/km at sea level */
static double dry_gamma(double f) {
  return (7.2 / (f * f + 0.34) + 0.62 / (pow(54.0 - f, 1.16) + 0.83)) * f * f * 1e-3;
}

/* (F.6.2), dB/km at sea level, from the density at ground_m above sea */
static double vapour_gamma(double f, double rho_sur, double ground_m) {
  double rho_sea = rho_sur * exp(ground_m / 2000.0);
  double eta = 0.955 + 0.006 * rho_sea;
  double off = f - 22.235, ratio = (f - 22.0) / (f + 22.0);
  double line = 3.98 * eta / (off * off + 9.42 * eta * eta) * (1.0 + ratio * ratio);
  return (0.046 + 0.0019 * rho_sea + line) * f * f * rho_sea * 1e-4;
}

/* (F.5.1), density while it rains */
static double rain_density(double rho_sur, double ground_m) {
  return ground_m <= RAIN_HEIGHT_M ? rho_sur + 0.4 + 0.0003 * ground_m : rho_sur + 5.0 * exp(-ground_m / 1800.0);
}

/* F.2: path from antenna to antenna, heights above sea */
static loss whole_path(double f, double rho_sur, double dist_km, double mid_ground_m, double mean_antenna_m) {
  double dry_km = dist_km * exp(-mean_antenna_m / 5000.0), wet_km = dist_km * exp(-mean_antenna_m / 2000.0);
  return (loss){.dry = dry_gamma(f) * dry_km,
                .vapour = vapour_gamma(f, rho_sur, mid_ground_m) * wet_km,
                .rain = vapour_gamma(f, rain_density(rho_sur, mid_ground_m), mid_ground_m) * wet_km};
}

/* F.4: effective length of a leg rising at sin_el through a layer */
static double leg_km(double layer_km, double softness, double sin_el, double dist_km, double ground_m, double fall_m) {
  double through = layer_km / (0.65 * sin_el + 0.35 * sqrt(sin_el * sin_el + softness));
  return through * (1.0 - exp(-dist_km / through)) * exp(-ground_m / fall_m);
}

/* F.4: leg from a terminal on ground_m to the common volume */
static loss one_leg(double f, double rho_sur, double dist_km, double el, double ground_m) {
  double sin_el = sin(fmax(el, 0.0));
  double dry_km = leg_km(5.0, 0.00304, sin_el, dist_km, ground_m, 5000.0);
  double wet_km = leg_km(2.0, 0.00122, sin_el, dist_km, ground_m, 2000.0);
  return (loss){.dry = dry_gamma(f) * dry_km,
                .vapour = vapour_gamma(f, rho_sur, ground_m) * wet_km,
                .rain = vapour_gamma(f, rain_density(rho_sur, ground_m), ground_m) * wet_km};
}

static loss attachment_f(const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  double f = fmin(task->freq_ghz, F_MAX_GHZ);
  if (task->legs == NULL) {
    double rho = task->host->climate(task->ctx, ES_VAPOUR_DENSITY, ES_AT_CENTRE, r);
    double mean_antenna_m = 0.5 * (task->beacon->antenna_m + rx->at[r].antenna_m);
    return whole_path(f, rho, rx->dist_m[r] / 1000.0, rx->mid_ground_m[r], mean_antenna_m);
  }
  es_climate_place terminal = task->legs->end == ES_BEACON ? ES_AT_BEACON : ES_AT_LISTENER;
  double rho = task->host->climate(task->ctx, ES_VAPOUR_DENSITY, terminal, r);
  return one_leg(f, rho, task->legs->dist_m[r] / 1000.0, task->legs->el[r], task->legs->ground_m[r]);
}

/* ---- line by line ---- */

static double line_vapour(const gases *model, const es_task *task, size_t r) {
  if (model->convention == P452) return 7.5 + 2.5 * task->rx->sea_share[r]; /* P.452-18 (9a) */
  return task->host->climate(task->ctx, ES_VAPOUR_DENSITY, ES_AT_CENTRE, r);
}

/* `air` is kept from receiver to receiver while pressure and temperature stay. */
static loss by_line(const gases *model, const es_task *task, size_t r, p676_air *air) {
  double press_hpa = task->host->climate(task->ctx, ES_PRESSURE, ES_AT_CENTRE, r);
  double temp_k = task->host->climate(task->ctx, ES_TEMPERATURE, ES_AT_CENTRE, r) + KELVIN;
  if (!(air->press_hpa == press_hpa && air->temp_k == temp_k)) p676_prepare(air, task->freq_ghz, press_hpa, temp_k);
  p676_gamma gamma = p676_specific(air, line_vapour(model, task, r));
  double dist_km = (task->legs != NULL ? task->legs->dist_m[r] : task->rx->slant_m[r]) / 1000.0;
  return (loss){gamma.oxygen_db_km * dist_km, gamma.vapour_db_km * dist_km, NAN};
}

/* ---- answer ---- */

static bool in_range(enum convention convention, double freq_ghz) {
  return convention == P2001 ? freq_ghz <= F_MAX_GHZ : freq_ghz >= LINE_MIN_GHZ;
}

/* The letters of P.2001 for the way in hand; P.452 and P.526 chains know one total, Ag. */
static void note(const es_task *task, enum convention convention, size_t k, size_t r, const loss *a) {
  static const char *const path[] = {"Aosur", "Awsur", "Awrsur", "Agsur"};
  static const char *const leg[2][3] = {{"Aotcv", "Awtcv", "Awrtcv"}, {"Aorcv", "Awrcv", "Awrrcv"}};
  if (task->host->note == NULL) return;
  bool p2001 = convention == P2001;
  const char *const *names = task->legs != NULL ? leg[task->legs->end == ES_LISTENER] : path;
  const double values[] = {a->dry, a->vapour, a->rain};
  for (size_t i = 0; i < (p2001 ? 3 : 2); i++) task->host->note(task->ctx, k, r, names[i], values[i]);
  if (task->legs == NULL) task->host->note(task->ctx, k, r, p2001 ? path[3] : "Ag", a->dry + a->vapour);
}

static void answer(const gases *model, const es_task *task, es_answer *out, size_t r, const loss *a) {
  double sum = a->dry + a->vapour;
  uint8_t status = !isfinite(sum) ? ES_MISSING : in_range(model->convention, task->freq_ghz) ? ES_OK : ES_OUTSIDE;
  for (size_t k = 0; k < task->n_percent; k++) {
    out->value[k * task->rx->n + r] = sum;
    if (status != ES_OK) out->status[k * task->rx->n + r] = status;
    note(task, model->convention, k, r, a);
  }
  if (isfinite(a->rain)) out->rain_extra[r] = a->rain - a->vapour;
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  const gases *model = self;
  p676_air air = {.press_hpa = NAN};
  for (size_t r = 0; r < task->rx->n; r++) {
    loss a = model->convention == P2001 ? attachment_f(task, r) : by_line(model, task, r, &air);
    answer(model, task, out, r, &a);
  }
  return ES_OK;
}

ES_EXPORT const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "gases",
    .title = "Absorption by oxygen and water vapour",
    .source = "ITU-R P.676-13 (08/2022) annex 1; ITU-R P.2001-6 (09/2025) attachment F",
    .role = ES_TERM,
    .touches = ES_ALL_WAYS,
    .min_ghz = 0.03,
    .max_ghz = 1000.0,
    .min_km = 0.0,
    .max_km = 1e5,
    .settings = settings,
    .n_settings = sizeof settings / sizeof settings[0],
    .create = create,
    .evaluate = evaluate,
    .unread = ES_UNREAD_PLACES | ES_UNREAD_HORIZONS | ES_UNREAD_ROUGH | ES_UNREAD_VOLUME | ES_UNREAD_ZONES,
};
