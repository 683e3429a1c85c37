/* report_graticule.c - the lines of latitude, longitude and locator squares for the page's map: as shares of the side of its
 * frame, from the north-west. */
#include <math.h>

#include "output/graticule.h"
#include "output/report.h"

enum { PIECES = 32 };
static const double LABEL_GAP_PX = 118.0; /* the page's letters are larger on its map than the sheet's on theirs */

static double share(double px, double from_px) { return round((px - from_px) / ES_MAP_SIDE_PX * 1e4) / 1e4; }

static bool on_frame(double x, double y) {
  double margin = 0.1 * ES_MAP_SIDE_PX;
  return x > ES_MAP_LEFT_PX - margin && x < ES_MAP_RIGHT_PX + margin && y > ES_MAP_TOP_PX - margin &&
         y < ES_MAP_BOTTOM_PX + margin;
}

/* Takes a line of two points or more into the list. */
static void close_line(json_t *list, json_t **line) {
  if (json_array_size(*line) >= 4) json_array_append(list, *line);
  json_decref(*line);
  *line = NULL;
}

/* Lines as [x, y, x, y, ...]: where one leaves the frame it ends, and where it comes back another begins. */
static void add_line(const es_graticule *g, bool parallel, double value, json_t *list) {
  json_t *line = NULL;
  for (int k = 0; k <= PIECES; k++) {
    double x, y;
    if (!es_graticule_point(g, parallel, value, (double)k / PIECES, &x, &y) || !on_frame(x, y)) {
      close_line(list, &line);
      continue;
    }
    if (line == NULL) line = json_array();
    json_array_append_new(line, json_real(share(x, ES_MAP_LEFT_PX)));
    json_array_append_new(line, json_real(share(y, ES_MAP_TOP_PX)));
  }
  close_line(list, &line);
}

static json_t *lines(const es_graticule *g, double step_lat, double step_lon) {
  json_t *list = json_array();
  for (int parallel = 0; parallel < 2; parallel++) {
    double step = parallel ? step_lat : step_lon;
    for (double at = es_graticule_first(g, parallel, step); at <= es_graticule_end(g, parallel); at += step)
      add_line(g, parallel, at, list);
  }
  return list;
}

/* [share along the side, "46\u00b030\u2032 N"]: left for parallels, below for meridians. */
static json_t *labels(const es_graticule *g, bool parallel) {
  json_t *list = json_array();
  double step = parallel ? g->step_lat : g->step_lon, last = -INFINITY, at;
  for (double value = es_graticule_first(g, parallel, step); value <= es_graticule_end(g, parallel) + 1e-9;
       value += step) {
    if (!es_graticule_leaves(g, parallel, value, &at) || fabs(at - last) < LABEL_GAP_PX) continue;
    char text[ES_GRATICULE_LABEL];
    es_graticule_label(parallel ? value : g->view.beacon.lon_deg + value, parallel, step, text);
    json_array_append_new(list, json_pack("[f,s]", share(at, parallel ? ES_MAP_TOP_PX : ES_MAP_LEFT_PX), text));
    last = at;
  }
  return list;
}

/* [x, y of the north-west corner, "HN16"], where that corner lies inside the ring. */
static json_t *square_names(const es_graticule *g) {
  json_t *list = json_array();
  for (double north = ceil(g->extent.south_deg); north <= g->extent.north_deg; north += 1.0)
    for (double offset = es_graticule_first(g, false, 2.0); offset <= g->extent.east_deg; offset += 2.0) {
      double x, y, lon = g->view.beacon.lon_deg + offset;
      char name[5];
      if (north <= -90.0 || !es_view_place(&g->view, (es_lonlat){lon, north}, &x, &y)) continue;
      if (hypot(x - ES_MAP_CENTRE_X, y - ES_MAP_CENTRE_Y) > ES_MAP_RING_PX - 3.0) continue;
      es_square_name(lon, north - 1.0, name);
      json_array_append_new(list, json_pack("[f,f,s]", share(x, ES_MAP_LEFT_PX), share(y, ES_MAP_TOP_PX), name));
    }
  return list;
}

json_t *es_report_graticule(const es_frame *frame, bool squares) {
  es_view view = es_view_of(frame);
  es_graticule g = es_graticule_of(&view);
  json_t *out = json_pack("{s:o,s:o,s:o}", "lines", lines(&g, g.step_lat, g.step_lon), "left", labels(&g, true),
                          "below", labels(&g, false));
  if (out != NULL && squares && es_graticule_squares(&view, ES_SQUARE_MIN_PX))
    json_object_set_new(out, "squares", lines(&g, 1.0, 2.0));
  if (out != NULL && squares && es_graticule_squares(&view, ES_SQUARE_NAMED_MIN_PX))
    json_object_set_new(out, "names", square_names(&g));
  return out;
}
