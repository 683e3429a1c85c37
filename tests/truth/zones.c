#include "zones.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/model.h"
#include "ground/mask.h"
#include "ground/zone.h"

const char *const truth_zoning_names[TRUTH_ZONINGS] = {"all inland", "elevation", "derived", "bank", "land layer"};

static const double COAST_KM = 50.0, COAST_HEIGHT_M = 100.0, SMALLEST_SEA_KM = 2.0;
static const double CELL_M = 250.0; /* as core/ground has it */

/* Half the step on either side belongs to a point. */
static double border_km(const truth_path *path, size_t i) {
  if (i == 0) return 0.0;
  return i < path->n ? 0.5 * (path->dist_km[i - 1] + path->dist_km[i]) : path->dist_km[path->n - 1];
}

double truth_sea_km(const truth_path *path, const uint8_t *zone) {
  double sum = 0.0;
  for (size_t i = 0; i < path->n; i++)
    if (zone[i] == ES_ZONE_SEA) sum += border_km(path, i + 1) - border_km(path, i);
  return sum;
}

/* --- along the path ----------------------------------------------------------------------------------------------- */

/* The coast is sought along the path: across it nothing is known. */
static void mark_coast(const truth_path *path, uint8_t *zone) {
  for (int back = 0; back < 2; back++) {
    double sea_km = -INFINITY;
    for (size_t k = 0; k < path->n; k++) {
      size_t i = back ? path->n - 1 - k : k;
      double at_km = back ? -path->dist_km[i] : path->dist_km[i];
      if (zone[i] == ES_ZONE_SEA) sea_km = at_km;
      if (zone[i] == ES_ZONE_INLAND && at_km - sea_km <= COAST_KM && path->ground_m[i] <= COAST_HEIGHT_M)
        zone[i] = ES_ZONE_COAST;
    }
  }
}

typedef bool point_test(const truth_path *path, size_t i);
static bool at_zero(const truth_path *path, size_t i) { return !(path->ground_m[i] > 0.0); }
static bool derived_sea(const truth_path *path, size_t i) { return path->zone[i] == ES_ZONE_SEA; }

/* End of the run of like points that begins at i. */
static size_t run_end(const truth_path *path, size_t i, point_test *is) {
  size_t end = i;
  while (end < path->n && is(path, end)) end++;
  return end;
}

static void sea_by_elevation(const truth_path *path, uint8_t *zone) {
  for (size_t i = 0; i < path->n; i++) {
    size_t end = run_end(path, i, at_zero);
    if (end == i) continue;
    if (border_km(path, end) - border_km(path, i) >= SMALLEST_SEA_KM) memset(zone + i, ES_ZONE_SEA, end - i);
    i = end - 1;
  }
}

/* The longest run of derived sea that is not marked yet; its length, 0 when there is none. */
static double longest_left(const truth_path *path, const uint8_t *zone, size_t *from, size_t *to) {
  double longest = 0.0;
  for (size_t i = 0; i < path->n; i++) {
    size_t end = run_end(path, i, derived_sea);
    if (end == i) continue;
    double km = border_km(path, end) - border_km(path, i);
    if (zone[i] != ES_ZONE_SEA && km > longest) {
      longest = km;
      *from = i;
      *to = end;
    }
    i = end - 1;
  }
  return longest;
}

static void sea_by_bank(const truth_path *path, uint8_t *zone) {
  double sum = 0.0;
  for (;;) {
    size_t from = 0, to = 0;
    double km = longest_left(path, zone, &from, &to);
    if (km == 0.0 || fabs(sum + km - path->sea_table_km) >= fabs(sum - path->sea_table_km)) return;
    memset(zone + from, ES_ZONE_SEA, to - from);
    sum += km;
  }
}

/* --- by a land layer ---------------------------------------------------------------------------------------------- */

static es_lonlat place_at(const truth_path *path, double share) {
  es_course course = es_geodesic_between(path->tx, path->rx);
  return es_geodesic_ahead(path->tx, course.azimuth_deg, share * course.dist_m);
}

/* Heights off the path are not known: all land near the sea may be coast, and the path's own height decides later. */
static bool fill_zones(es_zones *zones, const es_lattice *lattice, es_window window, const uint8_t *sea) {
  es_zones_plan(zones, window, CELL_M, CELL_M);
  if (!es_zones_start(zones)) return false;
  for (int r = 0; r < window.rows; r++)
    for (int c = 0; c < window.cols; c++) {
      bool wet = sea[(size_t)r * (size_t)window.cols + (size_t)c] == ES_SEA;
      uint8_t pixel = wet ? ES_PIXEL_SEA : ES_PIXEL_LAND;
      float level = 0.0f;
      es_zones_add(zones, window.col + c, window.row + r, 1, &level, &pixel);
    }
  return es_zones_finish(zones, lattice, 1e3 * COAST_KM, COAST_HEIGHT_M, false);
}

static void take_zones(const truth_path *path, const es_lattice *lattice, const es_zones *zones, uint8_t *zone) {
  for (size_t i = 0; i < path->n; i++) {
    double col, row;
    es_lonlat at = place_at(path, path->dist_km[i] / path->dist_km[path->n - 1]);
    if (es_lattice_pixel(lattice, at, &col, &row)) zone[i] = es_zones_at(zones, col, row);
    if (zone[i] == ES_ZONE_COAST && path->ground_m[i] > COAST_HEIGHT_M) zone[i] = ES_ZONE_INLAND;
  }
}

static void zones_by_land(const truth_path *path, const char *land, uint8_t *zone, es_faults *faults) {
  double reach_m = 0.5 * es_geodesic_between(path->tx, path->rx).dist_m + 1e3 * (COAST_KM + 5.0);
  int half = (int)ceil(reach_m / CELL_M);
  es_window window = {-half, -half, 2 * half, 2 * half};
  es_lonlat centre = place_at(path, 0.5);
  es_lattice lattice;
  es_mask mask = {0};
  es_zones zones = {0};
  es_ground_plan plan = {.job_file = "zones", .mask = &land, .n_mask = 1};
  uint8_t *sea = malloc((size_t)window.cols * (size_t)window.rows);
  bool ok = es_lattice_init_plane(&lattice, centre, CELL_M) && sea != NULL && es_mask_gather(&mask, &plan, faults) &&
            es_mask_place(&mask, &lattice, (es_ground_area){centre, reach_m}, reach_m, &plan, faults) &&
            es_mask_read(&mask, &lattice, window, sea, &plan, faults) && fill_zones(&zones, &lattice, window, sea);
  if (ok)
    take_zones(path, &lattice, &zones, zone);
  else
    es_fault_add(faults, land, 0, "station %d: no zones from this layer", path->station);
  es_zones_fini(&zones);
  es_mask_fini(&mask);
  es_lattice_fini(&lattice);
  free(sea);
}

static uint8_t *zones_of(const truth_path *path, truth_zoning how, const char *land, es_faults *faults) {
  uint8_t *zone = malloc(path->n);
  if (zone == NULL) {
    es_fault_add(faults, NULL, 0, "out of memory");
    return NULL;
  }
  memset(zone, ES_ZONE_INLAND, path->n);
  switch (how) {
  case TRUTH_ALL_INLAND: return zone;
  case TRUTH_DERIVED: memcpy(zone, path->zone, path->n); return zone;
  case TRUTH_BY_LAND: zones_by_land(path, land, zone, faults); return zone;
  case TRUTH_BY_ELEVATION: sea_by_elevation(path, zone); break;
  case TRUTH_BY_BANK: sea_by_bank(path, zone); break;
  }
  mark_coast(path, zone);
  return zone;
}

bool truth_zone_set_make(const truth_bank *bank, const char *land, truth_zone_set *set, es_faults *faults) {
  size_t before = faults->n_faults;
  *set = (truth_zone_set){.n_paths = bank->n_paths};
  for (int how = 0; how < TRUTH_ZONINGS; how++) {
    if (how == TRUTH_BY_LAND && land == NULL) continue;
    set->zone[how] = calloc(bank->n_paths, sizeof *set->zone[how]);
    if (set->zone[how] == NULL) es_fault_add(faults, NULL, 0, "out of memory");
    for (size_t i = 0; set->zone[how] != NULL && i < bank->n_paths; i++)
      set->zone[how][i] = zones_of(&bank->paths[i], (truth_zoning)how, land, faults);
  }
  return faults->n_faults == before;
}

void truth_zone_set_fini(truth_zone_set *set) {
  for (int how = 0; how < TRUTH_ZONINGS; how++) {
    for (size_t i = 0; set->zone[how] != NULL && i < set->n_paths; i++) free(set->zone[how][i]);
    free(set->zone[how]);
  }
  *set = (truth_zone_set){0};
}
