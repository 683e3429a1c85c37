#include "radial/zones.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const double NO_SEA = -1.0;

/* A run of samples that all lie in a set of zones. */
typedef struct run {
  double start_m; /* border before the first sample of the current run; NaN outside a run */
  double longest_m;
} run;

static void run_step(run *r, bool inside, double border_m) {
  if (inside && isnan(r->start_m)) r->start_m = border_m;
  if (!inside && !isnan(r->start_m)) {
    r->longest_m = fmax(r->longest_m, border_m - r->start_m);
    r->start_m = NAN;
  }
}

/* The longest run when the path ends at dist_m; border_m parts the last sample from the receiver's own ground. */
static double run_until(const run *r, bool rx_inside, double border_m, double dist_m) {
  double start = isnan(r->start_m) ? (rx_inside ? border_m : dist_m) : r->start_m;
  double end = rx_inside ? dist_m : border_m;
  return fmax(r->longest_m, end - start);
}

typedef struct pass {
  run land, inland;
  double sea_m;       /* sea so far, up to border_m */
  double first_sea_m; /* border before the first sea sample, NO_SEA when there was none */
  double last_sea_m;  /* border behind the last finished sea sample */
  bool in_sea;
  double border_m; /* border before the first of the samples that are like the current one */
} pass;

/* A sample that differs from the one before. */
static void take_change(pass *p, uint8_t zone, double before_m) {
  bool sea = zone == ES_ZONE_SEA;
  if (p->in_sea) {
    p->sea_m += before_m - p->border_m;
    p->last_sea_m = before_m;
  }
  run_step(&p->land, !sea, before_m);
  run_step(&p->inland, zone == ES_ZONE_INLAND, before_m);
  if (sea && p->first_sea_m == NO_SEA) p->first_sea_m = before_m;
  p->in_sea = sea;
  p->border_m = before_m;
}

static void end_at(const pass *p, uint8_t rx_zone, double border_m, double dist_m, size_t r, es_zone_lengths *out) {
  bool rx_sea = rx_zone == ES_ZONE_SEA;
  double sea = p->sea_m + (p->in_sea ? border_m - p->border_m : 0.0) + (rx_sea ? dist_m - border_m : 0.0);
  double first = p->first_sea_m != NO_SEA ? p->first_sea_m : rx_sea ? border_m : NO_SEA;
  double last = rx_sea ? dist_m : p->in_sea ? border_m : p->last_sea_m;
  out->land_m[r] = run_until(&p->land, !rx_sea, border_m, dist_m);
  out->inland_m[r] = run_until(&p->inland, rx_zone == ES_ZONE_INLAND, border_m, dist_m);
  out->sea_share[r] = sea / dist_m;
  out->sea_tx_m[r] = first == NO_SEA ? dist_m : first;
  out->sea_rx_m[r] = first == NO_SEA ? dist_m : dist_m - last;
}

void es_zone_lengths_fill(const es_line *line, const es_receivers *rx, const uint8_t *zone_rx, es_zone_lengths *out) {
  pass p = {.land = {NAN, 0.0}, .inland = {NAN, 0.0}, .first_sea_m = NO_SEA};
  size_t next = 0;
  for (size_t r = 0; r < rx->n; r++) {
    for (; next <= rx->last[r]; next++)
      if (next == 0)
        take_change(&p, line->zone[0], 0.0);
      else if (line->zone[next] != line->zone[next - 1])
        take_change(&p, line->zone[next], 0.5 * (line->dist_m[next - 1] + line->dist_m[next]));
    double border = 0.5 * (line->dist_m[rx->last[r]] + rx->dist_m[r]);
    end_at(&p, zone_rx[r], border, rx->dist_m[r], r, out);
  }
}

void es_sea_share_fill(const es_line *line, const es_receivers *rx, const uint8_t *zone_rx, double *sea_share) {
  if (memchr(line->zone, ES_ZONE_SEA, line->n) == NULL && memchr(zone_rx, ES_ZONE_SEA, rx->n) == NULL) {
    memset(sea_share, 0, rx->n * sizeof *sea_share); /* most lines inland */
    return;
  }
  double sea_m = 0.0, border_m = 0.0; /* sea up to the border before sample i */
  size_t i = 0;
  for (size_t r = 0; r < rx->n; r++) {
    for (; i < rx->last[r]; i++) {
      double next_m = 0.5 * (line->dist_m[i] + line->dist_m[i + 1]);
      sea_m += line->zone[i] == ES_ZONE_SEA ? next_m - border_m : 0.0;
      border_m = next_m;
    }
    double end_m = rx->dist_m[r], last_m = 0.5 * (line->dist_m[i] + end_m);
    double sea = sea_m + (line->zone[i] == ES_ZONE_SEA ? last_m - border_m : 0.0);
    sea_share[r] = (sea + (zone_rx[r] == ES_ZONE_SEA ? end_m - last_m : 0.0)) / end_m;
  }
}
