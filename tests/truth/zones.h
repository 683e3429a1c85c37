/* zones.h - sea, coast and inland along a measured path, told in several ways, so that the ways can be judged.
 *
 *   inland      every point inland: what a program does that knows no sea
 *   elevation   runs of 2 km or more at 0 m are sea (core/ground drops seas below 4 km2 in the same way)
 *   derived     the same, but low polders are no sea: the zone column of the profile
 *   bank        the longest of those runs, as many as bring their sum nearest to the sea length in the bank
 *   land        sea is what no polygon of a land layer covers, by the code of core/ground itself
 *
 * Coastal land: within 50 km of the sea and not above 100 m; ITU-R P.452-18 section 3.2.1 (zone A1).                */
#ifndef EARSHOT_TRUTH_ZONES_H
#define EARSHOT_TRUTH_ZONES_H

#include "bank.h"

typedef enum truth_zoning {
  TRUTH_ALL_INLAND,
  TRUTH_BY_ELEVATION,
  TRUTH_DERIVED,
  TRUTH_BY_BANK,
  TRUTH_BY_LAND
} truth_zoning;

enum { TRUTH_ZONINGS = 5 };
extern const char *const truth_zoning_names[TRUTH_ZONINGS];

/* Zones of every path told in every way; zone[how] is NULL for a way that was not asked for. */
typedef struct truth_zone_set {
  size_t n_paths;
  uint8_t **zone[TRUTH_ZONINGS]; /* [how][path]: one zone a point */
} truth_zone_set;

/* `land`: vector file of polygons, or NULL: then nothing is told by land. False with faults; fini in every case. */
bool truth_zone_set_make(const truth_bank *bank, const char *land, truth_zone_set *set, es_faults *faults);
void truth_zone_set_fini(truth_zone_set *set);
double truth_sea_km(const truth_path *path, const uint8_t *zone);

#endif
