/* page_parts.c - rows that the sheet and the cards share: keying, tuning, antennas, safety. */
#include <math.h>
#include <stdio.h>

#include "base/units.h"
#include "run/pages.h"
#include "station/beacon_chain.h"
#include "station/exposure.h"
#include "station/tuning.h"

static const double MARKED_M = 60.96; /* 200 ft: 14 CFR 77.9 */

void es_watts_words(double dbm, char *out, size_t n) {
  double watts = es_ratio(dbm - 30.0);
  if (watts < 1.0)
    snprintf(out, n, "%.3g mW", 1e3 * watts);
  else if (watts < 1e3)
    snprintf(out, n, "%.3g W", watts);
  else
    snprintf(out, n, "%.3g kW", 1e-3 * watts);
}

void es_antenna_words(const es_antenna *a, char *out, size_t n) {
  switch (a->shape) {
  case ES_SHAPE_DISH: snprintf(out, n, "%g m dish", a->dish_m); return;
  case ES_SHAPE_TABLE: snprintf(out, n, "measured pattern"); return;
  case ES_SHAPE_HORN: snprintf(out, n, "horn, mouth %.0f x %.0f mm", 1e3 * a->width_m, 1e3 * a->height_m); return;
  case ES_SHAPE_SLOTTED: snprintf(out, n, "slotted guide, %.0f slots", 2.0 * a->face_slots); return;
  case ES_SHAPE_SECTOR:
    snprintf(out, n, "sector antenna, %.0f x %.0f degrees", es_deg(a->beam_az), es_deg(a->beam_el));
    return;
  case ES_SHAPE_BEAM:
    snprintf(out, n, "beam antenna, %.1f x %.1f degrees", es_deg(a->beam_az), es_deg(a->beam_el));
    return;
  case ES_SHAPE_ALL_ROUND:
  default: snprintf(out, n, "all-round antenna");
  }
}

void es_page_keying(es_page *page, const es_keying *k) {
  static const char *const kinds[] = {"Morse, carrier on and off", "Morse by frequency shift", "plain carrier"};
  es_cycle cycle = es_keying_cycle(k);
  char emission[16], width[8];
  es_emission_text(k, emission);
  es_width_text(es_emission_width_hz(k), width);
  es_page_row(page, "Keying", "%s", kinds[k->kind]);
  if (k->kind != ES_KEYED_NOT) {
    es_page_row(page, "Text", "%s", k->message);
    es_page_row(page, "Speed", "%g words a minute, dot %.0f ms, text %.1f s", k->wpm, 1e3 * es_morse_unit_s(k->wpm),
                cycle.message_s);
  }
  if (cycle.cycle_s > 0.0)
    es_page_row(page, "Cycle", "%.1f s: digital %.1f s, Morse %.1f s, carrier %.1f s, silence %.1f s", cycle.cycle_s,
                k->digital_s, cycle.message_s, k->carrier_s, k->pause_s);
  es_page_row(page, "Duty", "%.0f %% of key-down power on average", 100.0 * cycle.duty);
  es_page_row(page, "Emission", "%s, necessary bandwidth %s (ITU-R SM.1138, reckoned)", emission, width);
}

static void khz_words(double hz, char *out, size_t n) {
  if (hz < 1e3)
    snprintf(out, n, "%.3g Hz", hz);
  else
    snprintf(out, n, "%.1f kHz", 1e-3 * hz);
}

void es_page_tuning(es_page *page, const es_job *job, double lo_mhz, double lo_error_ppm) {
  es_tuning t = es_tune(round(1e9 * job->beacon.freq_ghz), job->sheet.error_ppm, 1e6 * lo_mhz, lo_error_ppm);
  char window[24], lnb[24], beacon[24];
  khz_words(t.window_hz, window, sizeof window);
  khz_words(t.lnb_hz, lnb, sizeof lnb);
  khz_words(t.beacon_hz, beacon, sizeof beacon);
  es_page_row(page, "Behind an LNB", "LO %.6g MHz: tune %.6f MHz%s", lo_mhz, 1e-6 * t.if_hz,
              t.inverted ? ", spectrum inverted (the LO lies above)" : "");
  es_page_row(page, "Search window", "%s either way: LNB %s (%g ppm), beacon %s", window, lnb, lo_error_ppm, beacon);
}

/* --- safety -------------------------------------------------------------------------------------------------------- */

static void limit_row(es_page *page, const es_exposure_limit *l, double eirp_w, double duty) {
  if (isnan(l->limit_w_m2)) {
    es_page_row(page, l->who, "the rule set has no limit in W/m2 at this frequency");
    return;
  }
  double down[3], mean[3];
  static const double factor[3] = {1.0, 2.56, 4.0};
  for (int i = 0; i < 3; i++) {
    down[i] = es_exposure_distance_m(eirp_w, l->limit_w_m2, factor[i]);
    mean[i] = es_exposure_distance_m(eirp_w * duty, l->limit_w_m2, factor[i]);
  }
  es_page_row(
      page, l->who,
      "%.1f W/m2 over %.0f min. Key down %.2f m; ground reflection %.2f m (x2.56), %.2f m (x4). On average %.2f, "
      "%.2f, %.2f m",
      l->limit_w_m2, l->average_s / 60.0, down[0], down[1], down[2], mean[0], mean[1], mean[2]);
}

static void distances(es_page *page, const es_job *job, const es_scenario *s) {
  const es_beacon *b = &job->beacon;
  es_radiated sent = es_radiated_of(b, s->power_dbm, s->height_m);
  double eirp_w = es_ratio(sent.eirp_dbm - 30.0), duty = es_keying_cycle(&job->sheet.keying).duty;
  es_exposure_limit limits[ES_EXPOSURE_LIMITS];
  int n = es_exposure_limits(job->sheet.rules, b->freq_ghz, limits);
  es_page_row(page, "Exposure, rules",
              "%s. Least distance from the antenna in its best direction:", es_rules_name(job->sheet.rules));
  double farthest = 0.0;
  for (int i = 0; i < n; i++) {
    limit_row(page, &limits[i], eirp_w, duty);
    if (!isnan(limits[i].limit_w_m2))
      farthest = fmax(farthest, es_exposure_distance_m(eirp_w, limits[i].limit_w_m2, 4.0));
  }
  double far_m = es_antenna_far_m(&b->antenna, b->freq_ghz);
  es_page_row(page, "Near field",
              "inside %.2f m (2 D^2/lambda) these distances do not hold; the farthest above is %.2f m", far_m,
              farthest);
  if (far_m > 0.01)
    es_page_caution(
        page,
        "Nearer than %.2f m the power density can reach %.0f W/m2 at the antenna's mouth (4 P/A): stay out of the "
        "beam, whatever the distances above say.",
        far_m, es_exposure_near_w_m2(es_ratio(sent.port_dbm - 30.0), &b->antenna, b->freq_ghz));
}

void es_page_safety(es_page *page, const es_job *job, const es_scenario *s) {
  es_page_safety_heading(page, "Before anyone goes near it");
  distances(page, job, s);
  es_page_caution(
      page, "Never look into a live waveguide or feed. Switch the transmitter off before you climb or work on it.");
  es_page_caution(page, "Climbing: fall arrest, a rescue plan, never alone; trained people only.");
  es_page_caution(page, "Lightning: bond mast, feeder screens and mains entry to one earth, with surge protection.");
  es_page_caution(
      page,
      "Structure: wind and ice load the mast; a structural engineer or the site's owner must agree. The antenna "
      "is %g m above ground%s.",
      s->height_m,
      s->height_m >= MARKED_M
          ? ": at 60.96 m (200 ft) and more, US rules want notice to the FAA (14 CFR 77.9), and marking may be due"
          : "; marking as an obstruction begins at 60.96 m (200 ft) in US rules, and lower near runways");
  es_page_caution(page, "Licence: an unattended beacon often needs a permit, and its frequency must be agreed.%s%s",
                  job->sheet.licence[0] != '\0' ? " Stated: " : "", job->sheet.licence);
  es_page_caution(page, "These are cautions, not a design. Local rules and licensed practice decide.");
}
