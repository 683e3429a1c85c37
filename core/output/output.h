/* output.h - a run's answers as pictures, rasters and tables. Same input, same bytes; a file appears under its final name
 * only when whole (temporary name in the same folder, fsync, rename).                                                    */
#ifndef EARSHOT_OUTPUT_OUTPUT_H
#define EARSHOT_OUTPUT_OUTPUT_H

#include <jansson.h>

#include "base/status.h"
#include "place/frame.h"

/* --- files ------------------------------------------------------------------------------------------------------ */
/* A name to write to until the file is whole; the path's folder must exist. Caller frees. */
char *es_file_begin(const char *path);
/* fsync and rename to the final name. On failure the temporary file is removed. */
int32_t es_file_finish(const char *temporary, const char *path, es_error *err);
int32_t es_file_write(const char *path, const void *bytes, size_t n, es_error *err);
int32_t es_json_write(const char *path, const json_t *json, es_error *err);

/* --- what a map shows ------------------------------------------------------------------------------------------- */
typedef enum es_map_kind {
  ES_MAP_LEVEL,     /* SNR in 2500 Hz, dB */
  ES_MAP_HEARD,     /* share of the year heard, percent */
  ES_MAP_WAY,       /* ES_SURFACE, ES_DUCT, ES_SCATTER as numbers 1, 2, 4; 0: none */
  ES_MAP_LOSS,      /* basic transmission loss, dB */
  ES_MAP_CLEARANCE, /* path clearance, first Fresnel zones */
  ES_MAP_DIFFERENCE /* dB, one scenario minus another */
} es_map_kind;

/* Class of a value: 0 is the lowest ("not heard", "below all modes"), NaN gives -1. */
int es_map_class(es_map_kind kind, double value);

/* The ground under the map, one value a cell of the frame. */
typedef struct es_map_ground {
  const float *ground_m; /* NaN: no data */
  const uint8_t *zone;   /* ES_ZONE_SEA: sea */
} es_map_ground;

typedef struct es_map_mark {
  const char *name;
  es_lonlat at;
  double dist_m, azimuth; /* from the beacon; radians */
  double value;           /* heard percent, or SNR, as the map's kind; NaN: no answer */
} es_map_mark;

/* Everything written on a sheet. Strings are borrowed UTF-8. */
typedef struct es_sheet {
  es_map_kind kind;
  const char *eyebrow;           /* "SKARN HEAD · Q0SKN · HN16wn" */
  const char *title;             /* "How much of the year it is heard" */
  const char *lead, *second;     /* what is heard; season and height */
  const char *colours_note;      /* one sentence on what the colours are, one on the shapes */
  const char *how_sure;          /* may be NULL */
  const char *const *fact_names; /* facts, n_facts pairs */
  const char *const *fact_texts;
  size_t n_facts;
  const char *foot;             /* data sets, climate sources, program, run id */
  const char *const *text_keys; /* PNG text chunks, n_text pairs */
  const char *const *text_values;
  size_t n_text;
  bool locator_squares;
  int scale; /* 1: 1600 px wide; 2 doubles every length */
} es_sheet;

/* Writes a sheet as PNG. values: cols x rows of the frame, NaN no data. Marks in any order. */
int32_t es_map_sheet_write(const char *path, const es_frame *frame, const float *values, const es_map_ground *ground,
                           const es_map_mark *marks, size_t n_marks, const es_sheet *sheet, es_error *err);

/* Writes a layer as a Cloud Optimized GeoTIFF: float32, nodata NaN, band description and unit, metadata pairs. */
int32_t es_map_raster_write(const char *path, const es_frame *frame, const float *values, const char *description,
                            const char *unit, const char *const *keys, const char *const *texts, size_t n_meta,
                            int threads, es_error *err);

/* --- tables ------------------------------------------------------------------------------------------------------ */
typedef enum es_field_kind { ES_FIELD_TEXT, ES_FIELD_NUMBER, ES_FIELD_WHOLE } es_field_kind;
typedef struct es_field {
  const char *name;
  es_field_kind kind;
  int decimals;
} es_field;
typedef struct es_cell {
  const char *text;
  double number;
} es_cell; /* NaN: left empty */

/* RFC 4180 CSV, UTF-8, one header row; n_rows x n_fields cells. */
int32_t es_csv_write(const char *path, const es_field *fields, size_t n_fields, const es_cell *cells, size_t n_rows,
                     es_error *err);
/* The same as a GeoPackage point layer. */
int32_t es_gpkg_write(const char *path, const char *layer, const es_field *fields, size_t n_fields,
                      const es_cell *cells, const es_lonlat *at, size_t n_rows, es_error *err);

#endif
