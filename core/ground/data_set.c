#include "ground/data_set.h"

#include <cpl_vsi.h>
#include <stdlib.h>
#include <string.h>
#include <xxhash.h>

#include "base/text.h"
#include "ground/grid.h"

/* Size and XXH3 (64 bits) of a file; both 0 for a name that is no plain file (a subdataset, a folder). False out of memory. */
static bool read_checksum(es_data_set *set) {
  enum { BLOCK = 1 << 20 };
  VSILFILE *file = VSIFOpenL(set->path, "rb");
  XXH3_state_t *state = XXH3_createState();
  unsigned char *bytes = malloc(BLOCK);
  bool ok = state != NULL && bytes != NULL;
  if (file != NULL && state != NULL && bytes != NULL) {
    XXH3_64bits_reset(state);
    for (size_t got; (got = VSIFReadL(bytes, 1, BLOCK, file)) > 0; set->bytes += got)
      XXH3_64bits_update(state, bytes, got);
    if (set->bytes > 0) set->checksum = XXH3_64bits_digest(state);
  }
  free(bytes);
  XXH3_freeState(state);
  if (file != NULL) VSIFCloseL(file);
  return ok;
}

/* "EPSG:4326", or the CRS's name when it has no code. Fresh memory. */
static char *crs_name(OGRSpatialReferenceH crs) {
  if (crs == NULL) return strdup("");
  const char *authority = OSRGetAuthorityName(crs, NULL), *code = OSRGetAuthorityCode(crs, NULL);
  if (authority != NULL && code != NULL) return es_format("%s:%s", authority, code);
  const char *name = OSRGetName(crs);
  return strdup(name != NULL ? name : "");
}

static bool keep(es_data_sets *sets, es_data_set set) {
  if (sets->n == sets->room) {
    size_t room = sets->room == 0 ? 8 : 2 * sets->room;
    es_data_set *items = realloc(sets->items, room * sizeof *items);
    if (items == NULL) return false;
    sets->items = items;
    sets->room = room;
  }
  sets->items[sets->n++] = set;
  return true;
}

static void set_fini(es_data_set *set) {
  free(set->what);
  free(set->path);
  free(set->driver);
  free(set->crs);
  free(set->date);
}

static void read_date(es_data_set *set, GDALDatasetH file) {
  const char *date = GDALGetMetadataItem(file, "TIFFTAG_DATETIME", NULL);
  if (date == NULL) date = GDALGetMetadataItem(file, "NC_GLOBAL#date_created", NULL);
  set->date = strdup(date != NULL ? date : "");
}

/* Facts that need the file open; shared by rasters and layers. False when it no longer opens. */
static bool read_file_facts(es_data_set *set, unsigned kind, OGRSpatialReferenceH crs_given) {
  GDALDatasetH file = GDALOpenEx(set->path, kind, NULL, NULL, NULL);
  if (file == NULL) return false;
  set->driver = strdup(GDALGetDriverShortName(GDALGetDatasetDriver(file)));
  read_date(set, file);
  set->crs = crs_name(crs_given != NULL ? crs_given : OGR_L_GetSpatialRef(GDALDatasetGetLayer(file, 0)));
  GDALClose(file);
  return true;
}

static bool add(es_data_sets *sets, es_data_set set, unsigned kind, OGRSpatialReferenceH crs) {
  bool ok = set.what != NULL && set.path != NULL && set.step_m != -1.0 && read_file_facts(&set, kind, crs) &&
            set.driver != NULL && set.crs != NULL && set.date != NULL;
  ok = ok && read_checksum(&set);
  if (ok && keep(sets, set)) return true;
  set_fini(&set);
  return false;
}

bool es_data_sets_add_tiles(es_data_sets *sets, const char *what, const es_tiles *tiles, es_lonlat centre) {
  bool ok = true;
  for (size_t i = 0; ok && i < tiles->n; i++) {
    const es_tile *tile = &tiles->items[i];
    if (!tile->used) continue;
    es_data_set set = {.what = strdup(what),
                       .path = strdup(tile->path),
                       .cols = tile->cols,
                       .rows = tile->rows,
                       .step_m = es_tile_step_m(tile, centre)};
    OGRSpatialReferenceH crs = es_crs_read(tile->crs);
    ok = add(sets, set, GDAL_OF_RASTER, crs);
    if (crs != NULL) OSRDestroySpatialReference(crs);
  }
  return ok;
}

bool es_data_sets_add_vector(es_data_sets *sets, const char *what, const char *path) {
  es_data_set set = {.what = strdup(what), .path = strdup(path)};
  return add(sets, set, GDAL_OF_VECTOR, NULL);
}

void es_data_sets_fini(es_data_sets *sets) {
  for (size_t i = 0; i < sets->n; i++) set_fini(&sets->items[i]);
  free(sets->items);
  *sets = (es_data_sets){0};
}
