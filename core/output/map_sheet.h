/* map_sheet.h - the map sheet: one picture that says where, how much, how often and how sure.
 *
 *   +-------------------------------+  EYEBROW
 *   |          bearing ring         |  Title
 *   |        .-''       ''-.        |  lead, second
 *   |      .'    coast,     '.      |  key with counts
 *   |      |    relief,  o   |      |  small keys
 *   |      '.   classes     .'      |  scale, north
 *   |        '-..       ..-'        |  facts
 *   +-------------------------------+  how sure
 *   foot: data, program, run                         1600 x 1212 px at scale 1                                           */
#ifndef EARSHOT_OUTPUT_MAP_SHEET_H
#define EARSHOT_OUTPUT_MAP_SHEET_H

#include <stdbool.h>

#include "base/status.h"
#include "output/map_class.h"
#include "place/frame.h"

/* The ground under the map, one value a cell of the frame. */
typedef struct es_map_ground {
  const float *ground_m; /* NaN: no data */
  size_t pitch;          /* from one row of ground_m to the next */
  const uint8_t *zone;   /* [row][column] of the frame. ES_ZONE_SEA: sea; may be NULL: no sea */
} es_map_ground;

typedef struct es_map_mark {
  const char *name;
  es_lonlat at;
  double dist_m, azimuth; /* from the beacon; radians */
  double value;           /* as the map's kind; NaN: no answer */
} es_map_mark;

/* Everything written on a sheet. Strings are borrowed UTF-8; those marked so may be NULL. */
typedef struct es_sheet {
  es_map_kind kind;
  const char *beacon_name;       /* beside its mark; may be NULL */
  const char *eyebrow;           /* "SKARN HEAD · Q0SKN · HN16wn" */
  const char *title;             /* "How much of the year it is heard" */
  const char *lead, *second;     /* what is heard; season and height; may be NULL */
  const char *colours_note;      /* one sentence on what the colours are, one on the shapes; may be NULL */
  const char *how_sure;          /* may be NULL */
  const char *const *fact_names; /* facts, n_facts pairs; an empty name continues the fact above it */
  const char *const *fact_texts;
  size_t n_facts;
  const char *foot;             /* data sets, climate sources, program, run id; may be NULL */
  const char *const *text_keys; /* PNG text chunks, n_text pairs, after the sheet's own texts in full */
  const char *const *text_values;
  size_t n_text;
  bool locator_squares;
  int scale; /* 1: 1600 px wide; 2 doubles every length; at most ES_SHEET_SCALE_MAX */
} es_sheet;
enum { ES_SHEET_SCALE_MAX = 4 };

/* Writes a sheet as PNG. values: cols x rows of the frame, NaN no data. Marks in any order. [setup] for frames of a
 * raster, else any thread. */
int32_t es_map_sheet_write(const char *path, const es_frame *frame, const float *values, const es_map_ground *ground,
                           const es_map_mark *marks, size_t n_marks, const es_sheet *sheet, es_error *err);

#endif
