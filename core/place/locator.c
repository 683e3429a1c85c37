/* locator.c - IARU locators.
 * Source: IARU Region 1 VHF Handbook, "Locator system"; see locator.h for the sizes.
 * Check:  41.714775 N 72.727260 W -> FN31pr21rn; JN58td -> 48.145833 N 11.625 E                                      */
#include "place/locator.h"

#include <math.h>
#include <string.h>

enum { PAIRS = 5 };

/* One pair of characters: the first symbol and how many there are. */
typedef struct pair {
  char first;
  int count;
} pair;
static const pair pairs[PAIRS] = {{'A', 18}, {'0', 10}, {'a', 24}, {'0', 10}, {'a', 24}};

/* Smallest cells: 1.25" of longitude, 0.625" of latitude. */
static const double LON_CELLS_PER_DEG = 2880.0, LAT_CELLS_PER_DEG = 5760.0;
static const long LON_CELLS = 360L * 2880, LAT_CELLS = 180L * 5760;

static char upper(char c) { return (char)(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c); }

/* Value of a symbol, or -1. */
static int symbol_value(char c, pair p) {
  int value = upper(c) - upper(p.first);
  return value >= 0 && value < p.count ? value : -1;
}

int32_t es_locator_parse(const char *text, es_lonlat *centre, double *half_lon_deg, double *half_lat_deg,
                         es_error *err) {
  size_t chars = strlen(text);
  if (chars < 4 || chars > 2 * PAIRS || chars % 2 != 0)
    return es_fail(err, ES_E_INPUT, "locator=\"%.40s\": want 4, 6, 8 or 10 characters such as FN31pr", text);
  double lon = -180.0, lat = -90.0, width = 360.0, height = 180.0;
  for (size_t k = 0; k < chars / 2; k++) {
    int east = symbol_value(text[2 * k], pairs[k]), north = symbol_value(text[2 * k + 1], pairs[k]);
    if (east < 0 || north < 0)
      return es_fail(err, ES_E_INPUT, "locator=\"%s\": characters %zu and %zu want %c to %c", text, 2 * k + 1,
                     2 * k + 2, pairs[k].first, pairs[k].first + pairs[k].count - 1);
    width /= pairs[k].count;
    height /= pairs[k].count;
    lon += east * width;
    lat += north * height;
  }
  *centre = (es_lonlat){lon + 0.5 * width, lat + 0.5 * height};
  if (half_lon_deg != NULL) *half_lon_deg = 0.5 * width;
  if (half_lat_deg != NULL) *half_lat_deg = 0.5 * height;
  return 0;
}

/* Index of the smallest cell. A place on a corner belongs to the cell north-east of it, in spite of rounding. */
static long cell_index(double deg_from_corner, double cells_per_deg) {
  return (long)floor(deg_from_corner * cells_per_deg + 1e-6);
}

int32_t es_locator_format(es_lonlat at, int chars, char out[11], es_error *err) {
  if (chars < 4 || chars > 2 * PAIRS || chars % 2 != 0)
    return es_fail(err, ES_E_INPUT, "locator length=%d: want 4, 6, 8 or 10", chars);
  if (!isfinite(at.lon_deg) || !(at.lat_deg >= -90.0 && at.lat_deg <= 90.0))
    return es_fail(err, ES_E_RANGE, "lon=%g lat=%g: want a longitude and a latitude from -90 to 90", at.lon_deg,
                   at.lat_deg);
  double lon = fmod(at.lon_deg + 180.0, 360.0);
  long east = cell_index(lon < 0.0 ? lon + 360.0 : lon, LON_CELLS_PER_DEG) % LON_CELLS;
  long north = cell_index(at.lat_deg + 90.0, LAT_CELLS_PER_DEG);
  if (north >= LAT_CELLS) north = LAT_CELLS - 1;
  for (int k = PAIRS - 1; k >= 0; k--) {
    out[2 * k] = (char)(pairs[k].first + east % pairs[k].count);
    out[2 * k + 1] = (char)(pairs[k].first + north % pairs[k].count);
    east /= pairs[k].count;
    north /= pairs[k].count;
  }
  out[chars] = '\0';
  return 0;
}
