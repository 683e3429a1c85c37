/* profile_sheet.h - the path profile: what lies between beacon and listener, and what of it costs the signal.
 *
 *   EYEBROW   Verdict as title; what limits it; what would help most            bearings
 *   +--------------------------- the whole path, Earth curved, sight line straight --------------------------+
 *   |  o------____________________________   zone  ________________________________________________        o  |
 *   +---------------------------------------------------------------------------------------------------------+
 *   +------ the first kilometre ------+                  +------ the last kilometre ------+
 *   +---------------------------------+                  +--------------------------------+   1600 x 930 px
 *
 * The Earth is drawn curved: a height h at distance d stands at h + d (D - d) / (2 a), a the effective Earth radius, so that
 * the sight line is straight and the first Fresnel zone, radius sqrt(lambda d (D - d) / D), an ellipse about it
 * (ITU-R P.526).                                                                                                         */
#ifndef EARSHOT_OUTPUT_PROFILE_SHEET_H
#define EARSHOT_OUTPUT_PROFILE_SHEET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

/* A row of trees of the listener's own list; heights above the ground. */
typedef struct es_profile_trees {
  double dist_m, depth_m; /* from the beacon to their nearer edge; how deep they stand along the path */
  double top_m, base_m;
} es_profile_trees;

/* Something written at a point of the path. what NULL: nothing is written. */
typedef struct es_profile_point {
  double dist_m, top_m;    /* where; height above sea of what stands there */
  const char *what, *more; /* "worst point: trees 0.30 km from Q7XAN"; "3.4 m above the sight line (1.2 of the zone)" */
} es_profile_point;

/* Strings are borrowed UTF-8 and may be NULL, but for eyebrow and verdict. */
typedef struct es_profile_sheet {
  const char *eyebrow, *verdict, *limits, *helps;
  const char *beacon_name, *listener_name;
  size_t n; /* samples from beacon to listener, at least 2; dist_m[0] is 0 */
  const double *dist_m, *ground_m;
  const double *top_m, *base_m;          /* canopy above sea; NULL: none */
  const uint8_t *zone;                   /* ES_ZONE_SEA: water; NULL: none */
  const uint8_t *known;                  /* 0: no ground data; NULL: all known */
  double beacon_mast_m, listener_mast_m; /* antennas above ground */
  double freq_ghz, earth_radius_m;       /* effective; may be negative or infinite */
  const char *radius_note;               /* "median air" */
  double bearing_deg, back_bearing_deg;
  const es_profile_trees *trees;
  size_t n_trees;
  es_profile_point worst, next;
  const char *near_beacon, *near_listener; /* a sentence in each inset */
  const char *foot;                        /* sources */
  const char *const *text_keys, *const *text_values;
  size_t n_text; /* PNG text chunks */
  int scale;     /* 1..4 */
} es_profile_sheet;

int32_t es_profile_sheet_write(const char *path, const es_profile_sheet *sheet, es_error *err);

#endif
