/* report.h - the report: one HTML file that needs no other and asks for none.
 *
 * What is said comes as JSON, built by the run from the same answers as the table. The answer, the first map and the whole
 * table of the scenario shown first are written as HTML here, so that they stand without a script; the rest is drawn by the
 * page's own script (report/page.js) from the JSON inside it. Layers of maps are 8-bit grids, deflated [zlib], base64.
 *
 * Everything that came from a user passes es_put_markup() or, in the JSON, has every '<' written as \u003c.                    */
#ifndef EARSHOT_OUTPUT_REPORT_H
#define EARSHOT_OUTPUT_REPORT_H

#include <jansson.h>
#include <stddef.h>
#include <stdint.h>

#include "base/status.h"
#include "output/map_sheet.h"
#include "output/page.h"

/* side x side bytes from the north-west, the run's radius reaching the edges. Codes: see report/page.js. */
typedef struct es_report_grid {
  char *id; /* "base", "heard-0": layer and scenario; owned by the caller */
  int side;
  const uint8_t *bytes;
  const char *of; /* scenario, told when there is no room; NULL: of all */
} es_report_grid;

typedef struct es_report_picture {
  const char *id, *path; /* a PNG; passed over when the file is not there */
  const char *kind, *of; /* "profile", its scenario: told when there is no room */
} es_report_picture;

typedef struct es_report {
  json_t *data; /* gets "left_out": ids of what found no room; "shown_first" is the scenario of the first picture */
  const es_report_grid *grids;
  size_t n_grids;
  const es_report_picture *pictures; /* the first is the map seen without a script */
  size_t n_pictures;
  const es_page *sheet; /* the beacon's sheet; NULL: none */
  size_t
      max_bytes; /* of the whole file. Taken in while there is room: the first picture, the grids, the other pictures */
} es_report;

/* Distance from the beacon to the edge of the grids. */
double es_report_radius_m(const es_frame *frame);
/* A layer in the page's drawing, azimuthal equidistant, by the nearest cell: code(value), 1 outside the radius. */
void es_report_layer(const es_frame *frame, int side, const float *values, uint8_t (*code)(double), uint8_t *bytes);
/* The ground under all layers: 0 not known, 1 sea, 2..255 land from shade to light. It reaches to the frame of the map sheet,
 * which is wider than the ring: es_report_base_side(side) bytes a side, of the same size as the layers' and in the same
 * middle. */
int es_report_base_side(int side);
int32_t es_report_base(const es_frame *frame, int side, const float *values, const es_map_ground *ground,
                       uint8_t *bytes, es_error *err);

/* Lines, labels and, when wanted, locator squares of the page's map. */
json_t *es_report_graticule(const es_frame *frame, bool squares);

int32_t es_report_write(const char *path, const es_report *report, es_error *err);

#endif
