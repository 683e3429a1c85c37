/* pages.h - the beacon's sheet and a card for each listener, as text and HTML, and the plot of the beacon's antenna:
 * OUT/beacon-sheet.txt, .html, OUT/beacon-antenna.png, OUT/cards/0001.txt, .html. */
#ifndef EARSHOT_RUN_PAGES_H
#define EARSHOT_RUN_PAGES_H

#include "output/page.h"
#include "run/listeners.h"

typedef struct es_pages {
  const es_setup *setup;
  const es_percentages *percents;
  const es_listener_answers *answers;
  const char *folder, *run_id, *version;
  size_t scenario; /* whose pages they are */
} es_pages;

/* All of them, for that scenario; the cards tell the others' shares beside. */
int32_t es_pages_write(const es_pages *pages, es_error *err);

/* The parts. Texts live in the page's arena. */
void es_beacon_sheet_fill(const es_pages *pages, es_page *page);
void es_card_fill(const es_pages *pages, size_t listener, es_page *page);
/* Rows that both have. */
void es_page_keying(es_page *page, const es_keying *keying);
void es_page_tuning(es_page *page, const es_job *job, double lo_mhz, double lo_error_ppm);
void es_page_safety(es_page *page, const es_job *job, const es_scenario *scenario);
/* "0.6 m dish", "slotted guide, 16 slots". */
void es_antenna_words(const es_antenna *antenna, char *out, size_t n);
void es_watts_words(double dbm, char *out, size_t n);

#endif
