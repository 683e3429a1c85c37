#include "run/pages.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/text.h"
#include "base/units.h"
#include "output/pattern_plot.h"
#include "place/locator.h"

/* "SKARN HEAD, Q0SKN, HN16wn" without capitals of its own: names stay as they are written. */
static const char *eyebrow(const es_job *job, es_arena *arena) {
  char locator[11] = "", text[256];
  es_locator_format(job->beacon.at, 6, locator, NULL);
  snprintf(text, sizeof text, "%.120s%s%.60s, %s", job->beacon.name, job->beacon.call[0] != '\0' ? ", " : "",
           job->beacon.call, locator);
  char *copy = es_arena_get(arena, strlen(text) + 1);
  return copy != NULL ? strcpy(copy, text) : "";
}

static int32_t write_both(const es_pages *p, const char *stem, const es_page *page, es_error *err) {
  char *text = es_format("%s/%s.txt", p->folder, stem), *html = es_format("%s/%s.html", p->folder, stem);
  bool whole = text != NULL && html != NULL && !es_arena_starved(page->arena);
  int32_t status = whole ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = es_page_write_text(text, page, err);
  if (status == 0) status = es_page_write_html(html, page, err);
  free(text);
  free(html);
  return status;
}

static int32_t write_sheet(const es_pages *p, es_arena *arena, es_page *page, es_error *err) {
  es_page_begin(page, arena, eyebrow(p->setup->job, arena), "Beacon sheet");
  es_beacon_sheet_fill(p, page);
  return write_both(p, "beacon-sheet", page, err);
}

static int32_t write_card(const es_pages *p, size_t listener, es_arena *arena, es_page *page, es_error *err) {
  char stem[48];
  snprintf(stem, sizeof stem, "cards/%04zu", listener + 1);
  es_page_begin(page, arena, eyebrow(p->setup->job, arena), p->setup->job->listeners.items[listener].name);
  es_card_fill(p, listener, page);
  return write_both(p, stem, page, err);
}

static int32_t write_plot(const es_pages *p, es_arena *arena, es_error *err) {
  const es_beacon *b = &p->setup->job->beacon;
  char words[96], lead[192], foot[192];
  es_antenna_words(&b->antenna, words, sizeof words);
  snprintf(lead, sizeof lead, "%s, %.1f\u00a0dBi at its best, %.3f\u00a0GHz, %s", words, b->antenna.peak_dbi,
           b->freq_ghz, b->polarisation == ES_VERTICAL ? "vertical" : "horizontal");
  snprintf(foot, sizeof foot, "Circles are 10\u00a0dB apart. Earshot %s, run %s.", p->version, p->run_id);
  es_pattern_words w = {eyebrow(p->setup->job, arena), "Gain by direction", lead, foot, 1};
  char *path = es_format("%s/beacon-antenna.png", p->folder);
  bool whole = path != NULL && !es_arena_starved(arena);
  int32_t status = whole ? es_pattern_plot_write(path, &b->antenna, b->freq_ghz, &w, err)
                         : es_fail(err, ES_E_MEMORY, "out of memory");
  free(path);
  return status;
}

static int32_t make_cards_folder(const es_pages *p, es_error *err) {
  char *folder = es_format("%s/cards", p->folder);
  bool ok = folder != NULL && (mkdir(folder, 0777) == 0 || errno == EEXIST);
  int32_t status =
      ok ? 0 : es_fail(err, ES_E_FILE, "%s: cannot be made (%s)", folder != NULL ? folder : "cards", strerror(errno));
  free(folder);
  return status;
}

int32_t es_pages_write(const es_pages *p, es_error *err) {
  es_arena *arena = es_arena_create();
  es_page *page = calloc(1, sizeof *page);
  int32_t status = arena == NULL || page == NULL ? es_fail(err, ES_E_MEMORY, "out of memory") : 0;
  if (status == 0) status = write_sheet(p, arena, page, err);
  if (status == 0) status = write_plot(p, arena, err);
  if (status == 0 && p->answers->n_listeners > 0) status = make_cards_folder(p, err);
  for (size_t i = 0; status == 0 && i < p->answers->n_listeners; i++) {
    status = es_setup_stopped(p->setup, err);
    if (status != 0) break;
    es_arena_back_to(arena, (es_arena_mark){0});
    status = write_card(p, i, arena, page, err);
  }
  free(page);
  es_arena_destroy(arena);
  return status;
}
