/* card.c - a listener's card: where to point, what to tune, what to expect, how to report. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "place/locator.h"
#include "run/pages.h"
#include "run/table.h"
#include "run/verdict.h"

static const double EAR_HZ = 100.0;

static void pointing(const es_pages *p, const es_listener *l, const es_path_answer *a, es_page *page) {
  const es_beacon *b = &p->setup->job->beacon;
  char locator[11] = "";
  es_locator_format(b->at, 10, locator, NULL);
  es_page_heading(page, "Where to point");
  es_page_row(page, "Bearing to the beacon", "%03.0f degrees from true north (%.1f)", a->course.back_azimuth_deg,
              a->course.back_azimuth_deg);
  if (a->status == ES_OK)
    es_page_row(page, "Elevation", "%+.1f degrees: it arrives there half of the time", es_deg(a->way_el_rx));
  es_page_row(page, "Distance", "%.1f km", a->course.dist_m / 1e3);
  es_page_row(page, "Bearing from the beacon", "%03.0f degrees", a->course.azimuth_deg);
  es_page_row(page, "Beacon's locator", "%s", locator);
  es_page_row(page, "Polarisation", "%s%s", b->polarisation == ES_VERTICAL ? "vertical" : "horizontal",
              a->polarisation_db >= 1.0 ? "; your antenna's differs" : "");
  if ((l->flags & ES_PLACE_BY_LOCATOR6) != 0)
    es_page_caution(page, "Your place is known by its locator only: bearing and distance may be off by kilometres.");
}

static void tuning(const es_pages *p, const es_listener *l, es_page *page) {
  const es_job *job = p->setup->job;
  es_page_heading(page, "What to tune");
  es_page_row(page, "Frequency", "%.6f MHz", 1e3 * job->beacon.freq_ghz);
  es_page_tuning(page, job, l->rx.lnb_lo_mhz, l->rx.lnb_error_ppm);
  es_page_keying(page, &job->sheet.keying);
}

static const char *mode_words(const es_mode *mode) { return mode != NULL ? mode->name : "nothing"; }

static void levels(const es_path_answer *a, es_page *page) {
  const es_doubt *d = &a->doubt;
  double to_ear = es_db(2500.0 / EAR_HZ);
  if (!isnan(d->snr_db[2]))
    es_page_row(page, "SNR in 2500 Hz", "%+.0f dB with 9 in 10 chance, %+.0f with 5 in 10, %+.0f with 1 in 10",
                d->snr_db[2], d->snr_db[1], d->snr_db[0]);
  else
    es_page_row(page, "SNR in 2500 Hz", "%+.0f dB with 5 in 10 chance, %+.0f with 1 in 10", d->snr_db[1], d->snr_db[0]);
  es_page_row(page, "SNR in 100 Hz", "%+.0f dB with 5 in 10 chance: what the ear takes in", d->snr_db[1] + to_ear);
  const es_mode *const *best = a->verdict.best;
  if (isnan(a->heard_percent))
    es_page_row(page, "Best mode", "%s", mode_words(best[1]));
  else if (isnan(d->snr_db[2]))
    es_page_row(page, "Best mode", "half of the time: %s; a tenth: %s", mode_words(best[1]), mode_words(best[0]));
  else if (best[0] == best[1] && best[1] == best[2])
    es_page_row(page, "Best mode", "%s, for a tenth of the time as for nine tenths", mode_words(best[1]));
  else
    es_page_row(page, "Best mode", "nine tenths of the time: %s; half: %s; a tenth: %s", mode_words(best[2]),
                mode_words(best[1]), mode_words(best[0]));
}

/* The other scenarios, which differ by season, height or power. */
static void shares(const es_pages *p, size_t listener, es_page *page) {
  for (size_t s = 0; p->setup->timed && s < p->answers->n_scenarios; s++) {
    const es_path_answer *a = es_listener_answer(p->answers, s, listener);
    char share[24], low[24], high[24];
    if (a->status != ES_OK) continue;
    es_year_text(p->setup, a->heard_percent, share, sizeof share);
    es_year_text(p->setup, a->doubt.heard_low_percent, low, sizeof low);
    es_year_text(p->setup, a->doubt.heard_high_percent, high, sizeof high);
    es_page_row(page, s == 0 ? "Heard" : "", "%s of the year (8 in 10 chance of %s to %s): %s", share, low, high,
                p->setup->job->scenarios[s].name);
  }
}

/* When: what carries it, half of the time and at its best. */
static void when(const es_pages *p, const es_path_answer *a, es_page *page) {
  uint8_t usual = a->winner[p->percents->median], best = a->winner[p->percents->best];
  es_page_row(page, "Carried by", "%s half of the time, %s in the best hours", es_way_name(usual), es_way_name(best));
  if (!p->setup->timed) return;
  bool rare = a->heard_percent < 50.0;
  es_page_row(page, "When", "%s",
              !rare ? "at any hour; better in warm, humid or layered air, worse in rain on the way"
              : best == ES_DUCT
                  ? "in openings: still, layered air, over land mostly at night, over water for days at a time"
                  : "in good hours: warm, humid air; rain showers between may scatter it too, with a rough note");
}

static void expecting(const es_pages *p, size_t listener, const es_listener *l, const es_path_answer *a,
                      es_page *page) {
  es_page_heading(page, "What to expect");
  es_page_sentence(page, "%s.", a->verdict.verdict != NULL ? a->verdict.verdict : "no answer");
  if (a->status == ES_OK) {
    shares(p, listener, page);
    levels(a, page);
    when(p, a, page);
  }
  if (a->verdict.limit != NULL) es_page_row(page, "What limits it", "%s", a->verdict.limit);
  if (a->verdict.helpful != NULL && a->verdict.helpful[0] != '\0')
    es_page_row(page, "What would help", "%s", a->verdict.helpful);
  const char *flags = es_flags_text(page->arena, l, a);
  if (flags[0] != '\0') es_page_row(page, "Mind", "%s", flags);
}

static void station(const es_listener *l, const es_path_answer *a, es_page *page) {
  char words[96];
  es_antenna_words(&l->rx.antenna, words, sizeof words);
  es_page_heading(page, "Reckoned for");
  es_page_row(page, "Place, WGS 84", "latitude %.5f, longitude %.5f degrees", l->at.lat_deg, l->at.lon_deg);
  es_page_row(page, "Antenna", "%s, %.1f dBi, %g m above ground", words, l->rx.antenna.peak_dbi, l->rx.height_m);
  es_page_row(page, "Receiver", "noise figure %.1f dB, feeder %.1f dB", l->rx.noise_figure_db, l->rx.feeder_db);
  if (a->status == ES_OK)
    es_page_row(page, "System temperature", "%.0f K, of it antenna %.0f K", a->noise.system_k, a->noise.antenna_k);
}

static void reporting(const es_pages *p, es_page *page) {
  const es_sheet_plan *s = &p->setup->job->sheet;
  es_page_heading(page, "How to report");
  es_page_sentence(
      page, "Give the signal over noise in dB and its bandwidth, the time in UTC, and where you pointed. A report "
            "of nothing heard counts as well.");
  es_page_sentence(page,
                   "With RST the tone may be a letter: s for scatter, as 59s by rain; m for multipath; a for aurora.");
  if (s->report_to[0] != '\0') es_page_row(page, "Reports to", "%s", s->report_to);
}

void es_card_fill(const es_pages *p, size_t listener, es_page *page) {
  const es_listener *l = &p->setup->job->listeners.items[listener];
  const es_path_answer *a = es_listener_answer(p->answers, p->scenario, listener);
  pointing(p, l, a, page);
  tuning(p, l, page);
  expecting(p, listener, l, a, page);
  station(l, a, page);
  reporting(p, page);
  es_page_row(page, "Run", "Earshot %s, run %s, scenario %s", p->version, p->run_id,
              p->setup->job->scenarios[p->scenario].name);
}
