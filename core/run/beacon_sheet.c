/* beacon_sheet.c - the beacon's sheet: all that a group publishes about a beacon, as planned in one scenario. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "place/locator.h"
#include "run/pages.h"
#include "run/verdict.h"
#include "station/beacon_chain.h"

static const char *stated(const char *text) { return text[0] != '\0' ? text : "not stated"; }

/* Ground under the beacon as some answer knows it; NaN when none does. */
static double ground_m(const es_listener_answers *answers) {
  for (size_t i = 0; i < answers->n_scenarios * answers->n_listeners; i++)
    if (answers->items[i].status == ES_OK) return answers->items[i].beacon_ground_m;
  return NAN;
}

static void where(const es_pages *p, const es_scenario *s, es_page *page) {
  const es_beacon *b = &p->setup->job->beacon;
  char six[11] = "", ten[11] = "";
  double ground = ground_m(p->answers);
  es_locator_format(b->at, 6, six, NULL);
  es_locator_format(b->at, 10, ten, NULL);
  es_page_heading(page, "Where");
  es_page_row(page, "Locator", "%s, %s", six, ten);
  es_page_row(page, "Position, WGS 84", "latitude %.6f, longitude %.6f degrees", b->at.lat_deg, b->at.lon_deg);
  if (isnan(ground))
    es_page_row(page, "Ground", "not known from this run");
  else
    es_page_row(page, "Ground", "%.0f m above sea, datum %s", ground, p->setup->job->vertical_datum);
  es_page_row(page, "Antenna", "%g m above ground", s->height_m);
  if (!isnan(ground)) es_page_row(page, "", "%.0f m above sea", ground + s->height_m);
}

static void feeder_row(const es_beacon *b, const es_radiated *sent, const es_scenario *s, es_page *page) {
  const es_feeder *f = &b->feeder;
  if (f->line[0] == '\0')
    es_page_row(page, "Feeder loss", "%.2f dB%s", sent->feeder_db, f->at_antenna ? ", amplifier at the antenna" : "");
  else if (f->at_antenna)
    es_page_row(page, "Feeder loss", "%.2f dB: amplifier at the antenna, connectors only", sent->feeder_db);
  else
    es_page_row(page, "Feeder loss", "%.2f dB: %.1f m of %s at %.3f dB/m, connectors %.2f dB (%s)", sent->feeder_db,
                fmax(0.0, f->length_m + s->height_m - b->height_m), f->line, f->db_per_m, f->connectors_db, f->source);
}

static void power(const es_pages *p, const es_scenario *s, es_page *page) {
  const es_beacon *b = &p->setup->job->beacon;
  es_radiated sent = es_radiated_of(b, s->power_dbm, s->height_m);
  char amplifier[24], port[24], eirp[24], erp[24];
  es_watts_words(sent.amplifier_dbm, amplifier, sizeof amplifier);
  es_watts_words(sent.port_dbm, port, sizeof port);
  es_watts_words(sent.eirp_dbm, eirp, sizeof eirp);
  es_watts_words(sent.erp_dbm, erp, sizeof erp);
  es_page_heading(page, "Power");
  es_page_row(page, "At the amplifier", "%.1f dBm (%s), +-%.1f dB, %s", sent.amplifier_dbm, amplifier,
              b->power_sigma_db, b->power_basis);
  feeder_row(b, &sent, s, page);
  es_page_row(page, "At the antenna port", "%.1f dBm (%s)", sent.port_dbm, port);
  es_page_row(page, "EIRP", "%.1f dBm (%s), in the best direction", sent.eirp_dbm, eirp);
  es_page_row(page, "ERP", "%.1f dBm (%s): EIRP less 2.15 dB", sent.erp_dbm, erp);
}

/* Largest and smallest gain going round at the antenna's tilt. */
static void swing(const es_antenna *a, double freq_ghz, double *low, double *high) {
  *low = INFINITY;
  *high = -INFINITY;
  for (int deg = 0; deg < 720; deg++) {
    double gain = es_antenna_gain(a, freq_ghz, es_rad(0.5 * deg), a->tilt, 0.0);
    *low = fmin(*low, gain);
    *high = fmax(*high, gain);
  }
}

static void antenna(const es_pages *p, es_page *page) {
  const es_beacon *b = &p->setup->job->beacon;
  char words[96];
  double low, high;
  es_antenna_words(&b->antenna, words, sizeof words);
  swing(&b->antenna, b->freq_ghz, &low, &high);
  es_page_heading(page, "Antenna");
  es_page_row(page, "Type", "%s", words);
  es_page_row(page, "Gain", "%.1f dBi at its best", b->antenna.peak_dbi);
  es_page_row(page, "Polarisation", "%s", b->polarisation == ES_VERTICAL ? "vertical" : "horizontal");
  if (high - low < 0.05)
    es_page_row(page, "Azimuth", "all round, no ripple stated");
  else if (b->antenna.shape == ES_SHAPE_SLOTTED || b->antenna.shape == ES_SHAPE_TABLE)
    es_page_row(page, "Azimuth", "%.1f to %.1f dBi going round, set to %.0f degrees", low, high,
                fmod(es_deg(b->antenna.azimuth) + 360.0, 360.0));
  else
    es_page_row(page, "Azimuth", "points to %.0f degrees from true north",
                fmod(es_deg(b->antenna.azimuth) + 360.0, 360.0));
  es_page_row(page, "Beam tilt", "%+.1f degrees", es_deg(b->antenna.tilt));
  es_page_row(page, "Far field", "beyond %.1f m", es_antenna_far_m(&b->antenna, b->freq_ghz));
}

static void frequency(const es_pages *p, es_page *page) {
  static const char *const held[] = {"none", "crystal", "OCXO", "GPS"};
  const es_job *job = p->setup->job;
  const es_sheet_plan *s = &job->sheet;
  double mhz = 1e3 * job->beacon.freq_ghz, product = 1.0;
  char factors[96] = "";
  for (size_t i = 0; i < s->n_multiply; i++) {
    size_t used = strlen(factors);
    snprintf(factors + used, sizeof factors - used, " x %g", s->multiply[i]);
    product *= s->multiply[i];
  }
  es_page_heading(page, "Frequency");
  es_page_row(page, "Frequency", "%.6f MHz", mhz);
  es_page_row(page, "Held by", "%s; may be off by %g ppm, %.4g Hz", held[s->reference], s->error_ppm,
              s->error_ppm * mhz);
  if (s->n_multiply > 0) es_page_row(page, "Multiplication", "%.6f%s = %.6f MHz", mhz / product, factors, mhz);
  if (s->reference != ES_REFERENCE_NONE)
    es_page_row(page, "Reference", "%g MHz x %.7g: 1 Hz there moves it %.1f Hz", s->reference_mhz,
                mhz / s->reference_mhz, mhz / s->reference_mhz);
  es_page_tuning(page, job, job->listener_defaults.lnb_lo_mhz, job->listener_defaults.lnb_error_ppm);
}

static void upkeep(const es_pages *p, es_page *page) {
  const es_sheet_plan *s = &p->setup->job->sheet;
  es_page_heading(page, "Upkeep");
  es_page_row(page, "Schedule", "%s", stated(s->schedule));
  es_page_row(page, "Status", "%s", stated(s->status));
  es_page_row(page, "Last checked", "%s", stated(s->last_checked));
  es_page_row(page, "Keeper", "%s", stated(s->keeper));
  es_page_row(page, "Reports to", "%s", stated(s->report_to));
}

/* How many listeners have at best each mode, half of the time. */
static void hearers(const es_pages *p, es_page *page) {
  const es_modes *modes = &p->setup->job->modes;
  size_t n = p->answers->n_listeners, none = 0, missing = 0, half = 0;
  if (n == 0) return;
  es_page_heading(page, "Who hears it");
  for (size_t i = 0; i < n; i++) {
    const es_path_answer *a = es_listener_answer(p->answers, p->scenario, i);
    missing += a->status != ES_OK;
    none += a->status == ES_OK && a->verdict.best[1] == NULL;
    half += a->status == ES_OK && (p->setup->timed ? a->heard_percent : a->doubt.confidence_percent) > 50.0;
  }
  es_page_row(page, "In their own mode", "%zu of %zu listeners %s", half, n,
              p->setup->timed ? "hear it more than half the year" : "more likely than not");
  for (size_t m = 0; m < modes->n; m++) {
    size_t count = 0;
    for (size_t i = 0; i < n; i++)
      count += es_listener_answer(p->answers, p->scenario, i)->verdict.best[1] == &modes->items[m];
    if (count > 0) es_page_row(page, modes->items[m].name, "%zu, half of the time", count);
  }
  if (none > 0) es_page_row(page, "Only with enhancement", "%zu", none);
  if (missing > 0) es_page_row(page, "No answer", "%zu", missing);
}

static void sources(const es_pages *p, es_page *page) {
  size_t n;
  const es_data_set *sets = es_ground_data_sets(p->setup->ground, &n);
  es_page_heading(page, "Data and method");
  for (size_t i = 0; i < n; i++) {
    const char *slash = strrchr(sets[i].path, '/');
    es_page_row(page, sets[i].what, "%s, %.0f m steps, date %s, checksum %016llx",
                slash != NULL ? slash + 1 : sets[i].path, sets[i].step_m,
                sets[i].date != NULL && sets[i].date[0] != '\0' ? sets[i].date : "not stated",
                (unsigned long long)sets[i].checksum);
    if (i == 40) {
      es_page_row(page, "", "and %zu more: see run.json", n - i - 1);
      break;
    }
  }
  for (size_t i = 0; i < p->setup->chain.n; i++)
    es_page_row(page, p->setup->chain.models[i]->is.id, "%s", p->setup->chain.models[i]->is.source);
  es_page_row(page, "Program", "Earshot %s, run %s", p->version, p->run_id);
}

void es_beacon_sheet_fill(const es_pages *p, es_page *page) {
  const es_job *job = p->setup->job;
  const es_scenario *s = &job->scenarios[p->scenario];
  es_page_heading(page, "What");
  es_page_row(page, "Beacon", "%s%s%s", job->beacon.name, job->beacon.call[0] != '\0' ? ", " : "", job->beacon.call);
  es_page_row(page, "Scenario", "%s", s->name);
  where(p, s, page);
  power(p, s, page);
  antenna(p, page);
  frequency(p, page);
  es_page_heading(page, "What it sends");
  es_page_keying(page, &job->sheet.keying);
  upkeep(p, page);
  hearers(p, page);
  es_page_safety(page, job, s);
  sources(p, page);
}
