/* together.c - see together.h. Whole columns at a time: a map has thousands of receivers in each. */
#include "model/together.h"

#include <math.h>
#include <string.h>

#include "base/status.h"
#include "model/combine.h"

enum { SURFACE, DUCT, SCATTER };

/* A column of NaN for ways that are not there. NULL: out of memory. */
static double *absent_column(es_arena *keep, size_t n) {
  double *column = ES_NEW(keep, double, n);
  for (size_t j = 0; column != NULL && j < n; j++) column[j] = NAN;
  return column;
}

/* Losses of a way less its antennas' gains: the system's. NULL: out of memory. */
static double *system_column(es_arena *keep, const es_chain_answer *a, const double *loss_db, const double *gain_db) {
  size_t n = a->n_percent * a->n_rx;
  double *column = ES_NEW(keep, double, n);
  for (size_t from = 0; column != NULL && from < n; from += a->n_rx)
    for (size_t r = 0; r < a->n_rx; r++) column[from + r] = loss_db[from + r] - gain_db[r];
  return column;
}

static double *free_end_column(es_arena *keep, size_t n, const es_way_answer *way) {
  double *column = ES_NEW(keep, double, n);
  for (size_t j = 0; column != NULL && j < n; j++) column[j] = way->loss_db[j] - way->end_db[j];
  return column;
}

/* Columns of all ways: basic and system loss. */
typedef struct columns {
  const double *basic[ES_WAYS], *system[ES_WAYS];
} columns;

/* free_ends: as if no end lost anything. False: out of memory. */
static bool columns_make(es_arena *keep, const es_chain_answer *a, bool free_ends, columns *c) {
  size_t n = a->n_percent * a->n_rx;
  const double *absent = absent_column(keep, n);
  for (int i = 0; i < ES_WAYS && absent != NULL; i++) {
    const es_way_answer *way = &a->way[i];
    c->basic[i] = c->system[i] = absent;
    if (!way->present) continue;
    c->basic[i] = free_ends && way->end_db != NULL ? free_end_column(keep, n, way) : way->loss_db;
    if (c->basic[i] == NULL) return false;
    c->system[i] = system_column(keep, a, c->basic[i], way->gain_db);
    if (c->system[i] == NULL) return false;
  }
  return absent != NULL;
}

static void combine(const double *const way[ES_WAYS], bool correlated, size_t n, double *out) {
  es_combine_ways(&(es_ways_db){way[SURFACE], way[DUCT], way[SCATTER], correlated}, n, out);
}

/* Which way carries the most, and the worst status of any: one that failed is missing from the sum. */
static void choose_winners(const columns *c, es_chain_answer *a) {
  for (size_t j = 0; j < a->n_percent * a->n_rx; j++) {
    double least = INFINITY;
    uint8_t status = ES_OK;
    for (int i = 0; i < ES_WAYS; i++) {
      const es_way_answer *way = &a->way[i];
      if (way->present && way->status[j] > status) status = way->status[j];
      if (!(c->system[i][j] < least)) continue;
      least = c->system[i][j];
      a->winner[j] = (uint8_t)(1 << i);
    }
    a->status[j] = isnan(a->system_db[j]) ? ES_FAILED : status;
  }
}

/* The way that is alone, or -1. */
static int only_way(const es_chain_answer *a) {
  int only = -1;
  for (int i = 0; i < ES_WAYS; i++) {
    if (!a->way[i].present) continue;
    if (only >= 0) return -1;
    only = i;
  }
  return only;
}

/* Nothing to combine. */
static void take_only(int only, es_chain_answer *a) {
  const es_way_answer *way = &a->way[only];
  memset(a->winner, 1 << only, a->n_percent * a->n_rx);
  for (size_t k = 0, from = 0; k < a->n_percent; k++, from += a->n_rx)
    for (size_t r = 0, j = from; r < a->n_rx; r++, j++) {
      a->basic_db[j] = way->loss_db[j];
      a->system_db[j] = way->loss_db[j] - way->gain_db[r];
      a->status[j] = isnan(a->system_db[j]) ? ES_FAILED : way->status[j];
      if (!(a->system_db[j] < INFINITY)) a->winner[j] = 0;
    }
}

int32_t es_ways_together(es_arena *keep, bool correlated, es_chain_answer *a) {
  size_t n = a->n_percent * a->n_rx;
  int only = only_way(a);
  columns c;
  if (only >= 0) {
    take_only(only, a);
    return 0;
  }
  if (!columns_make(keep, a, false, &c)) return ES_E_MEMORY;
  combine(c.basic, correlated, n, a->basic_db);
  combine(c.system, correlated, n, a->system_db);
  choose_winners(&c, a);
  return 0;
}

int32_t es_ways_without_ends(es_arena *keep, bool correlated, es_chain_answer *a) {
  size_t n = a->n_percent * a->n_rx;
  columns c;
  a->free_ends_basic_db = ES_NEW(keep, double, n);
  a->free_ends_system_db = ES_NEW(keep, double, n);
  if (a->free_ends_basic_db == NULL || a->free_ends_system_db == NULL || !columns_make(keep, a, true, &c))
    return ES_E_MEMORY;
  combine(c.basic, correlated, n, a->free_ends_basic_db);
  combine(c.system, correlated, n, a->free_ends_system_db);
  return 0;
}
