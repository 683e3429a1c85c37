/* table.h - tables of results: CSV (RFC 4180), GeoJSON (RFC 7946) and GeoPackage [OGR]. */
#ifndef EARSHOT_OUTPUT_TABLE_H
#define EARSHOT_OUTPUT_TABLE_H

#include <stddef.h>

#include "base/status.h"
#include "place/geodesic.h"

typedef enum es_field_kind { ES_FIELD_TEXT, ES_FIELD_NUMBER, ES_FIELD_WHOLE } es_field_kind;
typedef struct es_field {
  const char *name;
  es_field_kind kind;
  int decimals; /* of ES_FIELD_NUMBER */
} es_field;
typedef struct es_cell {
  const char *text; /* of ES_FIELD_TEXT; NULL: left empty */
  double number;    /* of the others; NaN: left empty */
} es_cell;

/* RFC 4180 CSV, UTF-8, CR LF, one header row; n_rows x n_fields cells, row by row. Numbers in the C locale. */
int32_t es_csv_write(const char *path, const es_field *fields, size_t n_fields, const es_cell *cells, size_t n_rows,
                     es_error *err);
/* The same as a GeoPackage layer of points on WGS 84. [setup] */
int32_t es_gpkg_write(const char *path, const char *layer, const es_field *fields, size_t n_fields,
                      const es_cell *cells, const es_lonlat *at, size_t n_rows, es_error *err);

/* The same with a second layer "lines": from the beacon to each row's place along the geodesic. [setup] */
int32_t es_gpkg_write_with_lines(const char *path, const char *layer, const es_field *fields, size_t n_fields,
                                 const es_cell *cells, const es_lonlat *at, size_t n_rows, es_lonlat beacon,
                                 es_error *err);
/* GeoJSON points (RFC 7946); empty cells are null. */
int32_t es_geojson_write(const char *path, const es_field *fields, size_t n_fields, const es_cell *cells,
                         const es_lonlat *at, size_t n_rows, es_error *err);

#endif
