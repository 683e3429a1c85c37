#include "output/kmz.h"

#include <cairo.h>
#include <cpl_error.h>
#include <cpl_vsi.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "base/units.h"
#include "output/files.h"
#include "output/map_parts.h"
#include "output/markup.h"

enum { SIDE_PX = 1024, MESH_PX = 16, MESH = SIDE_PX / MESH_PX + 1, ICON_PX = 24 };
static const uint32_t ALPHA = 200;
/* The column of the map sheet, px at scale 1. */
static const double COLUMN_X = 1196.0, COLUMN_WIDTH = 378.0, COLUMN_HEIGHT = 1160.0;

/* --- the boxes of the overlay ------------------------------------------------------------------------------------------------- */

typedef struct box {
  double west, east, south, north; /* -180..180, west < east */
} box;

/* One box, or two that meet at 180 degrees: what a reader makes of an east beyond 180 is anybody's guess. */
enum { MOST_BOXES = 2 };

static bool holds_pole(const es_view *v, double pole_deg) {
  es_lonlat pole = {v->beacon.lon_deg, pole_deg};
  return es_geodesic_between(v->beacon, pole).dist_m <= v->radius_m;
}

/* Longitudes go on past 180 here; around a pole they are all. */
static box whole_box(const es_view *v) {
  es_lonlat at = v->beacon;
  box b = {at.lon_deg, at.lon_deg, at.lat_deg, at.lat_deg};
  for (int azimuth = 0; azimuth < 360; azimuth++) {
    es_lonlat rim = es_geodesic_ahead(at, azimuth, v->radius_m);
    double lon = at.lon_deg + remainder(rim.lon_deg - at.lon_deg, 360.0);
    b = (box){fmin(b.west, lon), fmax(b.east, lon), fmin(b.south, rim.lat_deg), fmax(b.north, rim.lat_deg)};
  }
  bool north = holds_pole(v, 90.0), south = holds_pole(v, -90.0);
  if (north) b.north = 90.0;
  if (south) b.south = -90.0;
  if (north || south) b.west = -180.0, b.east = 180.0;
  return b;
}

static int boxes_of(const es_view *v, box out[MOST_BOXES]) {
  box b = whole_box(v);
  double turns = 360.0 * floor((b.west + 180.0) / 360.0);
  b.west -= turns;
  b.east -= turns;
  out[0] = b;
  if (b.east <= 180.0) return 1;
  out[0].east = 180.0;
  out[1] = b;
  out[1].west = -180.0;
  out[1].east = b.east - 360.0;
  return 2;
}

/* Sheet coordinates of a mesh of the overlay's pixels; between them they are linear. */
typedef struct mesh {
  double x[MESH][MESH], y[MESH][MESH];
} mesh;

static void fill_mesh(const es_view *v, const box *b, mesh *m) {
  for (int row = 0; row < MESH; row++)
    for (int col = 0; col < MESH; col++) {
      es_lonlat at = {b->west + (b->east - b->west) * col / (MESH - 1),
                      b->north - (b->north - b->south) * row / (MESH - 1)};
      es_view_place(v, at, &m->x[row][col], &m->y[row][col]);
      m->x[row][col] -= ES_MAP_CENTRE_X;
      m->y[row][col] -= ES_MAP_CENTRE_Y;
    }
}

static double between(double (*a)[MESH], double col, double row) {
  int c = (int)(col / MESH_PX), r = (int)(row / MESH_PX);
  double u = col / MESH_PX - c, w = row / MESH_PX - r;
  return (1 - w) * ((1 - u) * a[r][c] + u * a[r][c + 1]) + w * ((1 - u) * a[r + 1][c] + u * a[r + 1][c + 1]);
}

/* --- the overlay ------------------------------------------------------------------------------------------------------------- */

typedef struct colours {
  const es_frame *frame;
  const float *values;
  const es_map_ground *ground;
  es_map_kind kind;
  es_map_paint paints[ES_MAP_CLASSES_MAX];
} colours;

static uint32_t premultiplied(es_rgb c) {
  return ALPHA << 24 | (c.r * ALPHA / 255) << 16 | (c.g * ALPHA / 255) << 8 | c.b * ALPHA / 255;
}

/* Transparent outside the ring, without data, and where nothing is heard. */
static uint32_t pixel(const colours *k, const es_view *v, double x, double y) {
  if (x * x + y * y > ES_MAP_RING_PX * ES_MAP_RING_PX) return 0;
  double col = floor(v->col0 + v->col_east * x + v->col_south * y);
  double row = floor(v->row0 + v->row_east * x + v->row_south * y);
  if (!(col >= 0.0 && row >= 0.0 && col < k->frame->cols && row < k->frame->rows)) return 0;
  size_t cell = (size_t)row * (size_t)k->frame->cols + (size_t)col;
  int class = es_map_class(k->kind, (double)k->values[cell]);
  if (class < 0 || k->paints[class].bare) return 0;
  bool sea = k->ground->zone != NULL && k->ground->zone[cell] == ES_ZONE_SEA;
  return premultiplied(sea ? k->paints[class].sea : k->paints[class].land);
}

static cairo_surface_t *overlay(const colours *k, const es_view *v, const box *b) {
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, SIDE_PX, SIDE_PX);
  mesh *m = malloc(sizeof *m);
  if (m == NULL || cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS) {
    free(m);
    cairo_surface_destroy(surface);
    return NULL;
  }
  fill_mesh(v, b, m);
  cairo_surface_flush(surface);
  uint32_t *out = (uint32_t *)(void *)cairo_image_surface_get_data(surface);
  size_t stride = (size_t)cairo_image_surface_get_stride(surface) / sizeof *out;
  for (int row = 0; row < SIDE_PX; row++)
    for (int col = 0; col < SIDE_PX; col++)
      out[(size_t)row * stride + (size_t)col] =
          pixel(k, v, between(m->x, col + 0.5, row + 0.5), between(m->y, col + 0.5, row + 0.5));
  cairo_surface_mark_dirty(surface);
  free(m);
  return surface;
}

/* --- legend and icons ---------------------------------------------------------------------------------------------------------- */

/* NULL when the sheet is not there. */
static cairo_surface_t *legend(const char *sheet_png) {
  cairo_surface_t *sheet = cairo_image_surface_create_from_png(sheet_png);
  double scale = cairo_image_surface_get_width(sheet) / 1600.0;
  cairo_surface_t *out = NULL;
  if (cairo_surface_status(sheet) == CAIRO_STATUS_SUCCESS) {
    out = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)(COLUMN_WIDTH * scale), (int)(COLUMN_HEIGHT * scale));
    cairo_t *cr = cairo_create(out);
    cairo_set_source_surface(cr, sheet, -COLUMN_X * scale, -40.0 * scale);
    cairo_paint(cr);
    cairo_destroy(cr);
  }
  cairo_surface_destroy(sheet);
  return out;
}

/* NULL with err. */
static cairo_surface_t *icon(es_mark_shape shape, es_error *err) {
  es_palette palette;
  cairo_surface_t *out = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, ICON_PX, ICON_PX);
  cairo_t *cr = cairo_create(out);
  es_pen pen = {0};
  bool ok =
      es_palette_load(&palette, err) == ES_OK && es_pen_init(&pen, cr, palette.paper[ES_PAPER_SHEET], err) == ES_OK;
  if (ok) es_mark_draw(&pen, &palette, shape, 0.5 * ICON_PX, 0.5 * ICON_PX);
  es_pen_fini(&pen);
  cairo_destroy(cr);
  if (ok) return out;
  cairo_surface_destroy(out);
  return NULL;
}

/* --- KML ------------------------------------------------------------------------------------------------------------------------- */

/* A description is shown as HTML: text that must stay text is escaped once more, lines become lines. */
static bool put_html(FILE *out, const char *text) {
  char *html = NULL;
  size_t n = 0;
  FILE *once = open_memstream(&html, &n);
  if (once == NULL) return false;
  es_put_markup(once, text);
  bool ok = fclose(once) == 0;
  fputs("&lt;pre&gt;", out);
  if (ok) es_put_markup(out, html);
  fputs("&lt;/pre&gt;", out);
  free(html);
  return ok;
}

static void put_element(FILE *out, const char *tag, const char *text) {
  fprintf(out, "<%s>", tag);
  es_put_markup(out, text);
  fprintf(out, "</%s>\n", tag);
}

static void picture_name(int k, char out[16]) { snprintf(out, 16, k == 0 ? "map.png" : "map-%d.png", k + 1); }

static void put_overlays(FILE *out, const box *boxes, int n, bool has_legend) {
  for (int k = 0; k < n; k++) {
    char name[16];
    picture_name(k, name);
    fprintf(out,
            "<GroundOverlay><name>Map</name><Icon><href>%s</href></Icon><LatLonBox><north>%.7f</north>"
            "<south>%.7f</south><east>%.7f</east><west>%.7f</west></LatLonBox></GroundOverlay>\n",
            name, boxes[k].north, boxes[k].south, boxes[k].east, boxes[k].west);
  }
  if (has_legend)
    fputs("<ScreenOverlay><name>Key</name><Icon><href>key.png</href></Icon>"
          "<overlayXY x=\"0\" y=\"1\" xunits=\"fraction\" yunits=\"fraction\"/>"
          "<screenXY x=\"0.01\" y=\"0.98\" xunits=\"fraction\" yunits=\"fraction\"/>"
          "<size x=\"0\" y=\"0.8\" xunits=\"fraction\" yunits=\"fraction\"/></ScreenOverlay>\n",
          out);
}

static bool put_placemark(FILE *out, const char *name, const char *card, es_lonlat at, int shape) {
  bool ok = true;
  fputs("<Placemark>", out);
  put_element(out, "name", name);
  if (card != NULL) {
    fputs("<description>", out);
    ok = put_html(out, card);
    fputs("</description>\n", out);
  }
  fprintf(out, "<styleUrl>#s%d</styleUrl><Point><coordinates>%.7f,%.7f</coordinates></Point></Placemark>\n", shape,
          remainder(at.lon_deg, 360.0), at.lat_deg);
  return ok;
}

static char *kml_text(const es_kmz *kmz, const box *boxes, int n_boxes, es_lonlat beacon, bool has_legend, size_t *n) {
  char *text = NULL;
  FILE *out = open_memstream(&text, n);
  if (out == NULL) return NULL;
  fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>\n", out);
  put_element(out, "name", kmz->title);
  fputs("<description>", out);
  bool ok = put_html(out, kmz->about);
  fputs("</description>\n", out);
  for (int shape = 0; shape <= ES_MARK_DASH; shape++)
    fprintf(
        out,
        "<Style id=\"s%d\"><IconStyle><scale>0.8</scale><Icon><href>mark-%d.png</href></Icon></IconStyle></Style>\n",
        shape, shape);
  put_overlays(out, boxes, n_boxes, has_legend);
  fputs("<Folder><name>Stations</name>\n", out);
  ok &= put_placemark(out, kmz->beacon_name, NULL, beacon, ES_MARK_RING);
  for (size_t i = 0; i < kmz->n_marks; i++)
    ok &= put_placemark(out, kmz->marks[i].name, kmz->marks[i].card, kmz->marks[i].at, (int)kmz->marks[i].shape);
  fputs("</Folder>\n</Document></kml>\n", out);
  if (fclose(out) == 0 && ok) return text;
  free(text);
  return NULL;
}

/* --- the archive ----------------------------------------------------------------------------------------------------------------- */

typedef struct bytes {
  uint8_t *data;
  size_t n;
} bytes;

static cairo_status_t take_bytes(void *to, const unsigned char *data, unsigned int n) {
  bytes *b = to;
  uint8_t *grown = realloc(b->data, b->n + n);
  if (grown == NULL) return CAIRO_STATUS_NO_MEMORY;
  b->data = grown;
  memcpy(b->data + b->n, data, n);
  b->n += n;
  return CAIRO_STATUS_SUCCESS;
}

static bool add_file(const char *archive, const char *name, const void *data, size_t n) {
  char *path = es_format("/vsizip/%s/%s", archive, name);
  VSILFILE *file = path != NULL ? VSIFOpenL(path, "wb") : NULL;
  bool ok = file != NULL && VSIFWriteL(data, 1, n, file) == n;
  if (file != NULL) ok &= VSIFCloseL(file) == 0;
  free(path);
  return ok;
}

/* Takes the surface over. */
static bool add_surface(const char *archive, const char *name, cairo_surface_t *surface) {
  bytes b = {0};
  bool ok = surface != NULL && cairo_surface_write_to_png_stream(surface, take_bytes, &b) == CAIRO_STATUS_SUCCESS &&
            add_file(archive, name, b.data, b.n);
  cairo_surface_destroy(surface);
  free(b.data);
  return ok;
}

static bool add_icons(const char *archive, es_error *err) {
  bool ok = true;
  for (int shape = 0; ok && shape <= ES_MARK_DASH; shape++) {
    char name[32];
    snprintf(name, sizeof name, "mark-%d.png", shape);
    ok = add_surface(archive, name, icon((es_mark_shape)shape, err));
  }
  return ok;
}

static bool write_archive(const char *archive, const colours *k, const es_kmz *kmz, es_error *err) {
  es_view v = es_view_of(k->frame);
  box boxes[MOST_BOXES];
  int n_boxes = boxes_of(&v, boxes);
  cairo_surface_t *key = legend(kmz->sheet_png);
  size_t n = 0;
  char *kml = kml_text(kmz, boxes, n_boxes, k->frame->beacon, key != NULL, &n);
  bool ok = kml != NULL && add_file(archive, "doc.kml", kml, n);
  for (int i = 0; ok && i < n_boxes; i++) {
    char name[16];
    picture_name(i, name);
    ok = add_surface(archive, name, overlay(k, &v, &boxes[i]));
  }
  if (key != NULL) ok &= add_surface(archive, "key.png", key);
  free(kml);
  return ok && add_icons(archive, err);
}

int32_t es_kmz_write(const char *path, const es_frame *frame, es_map_kind kind, const float *values,
                     const es_map_ground *ground, const es_kmz *kmz, es_error *err) {
  es_palette palette;
  colours k = {.frame = frame, .values = values, .ground = ground, .kind = kind};
  int32_t status = es_palette_load(&palette, err);
  if (status != ES_OK) return status;
  es_map_paints(&palette, kind, k.paints);
  char *temporary = es_file_begin(path);
  if (temporary == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be written", path);
  unlink(temporary); /* the archive is made anew, entry by entry */
  CPLPushErrorHandler(CPLQuietErrorHandler);
  CPLErrorReset();
  if (write_archive(temporary, &k, kmz, err)) {
    status = es_file_finish(temporary, path, err);
  } else {
    status = es_fail(err, ES_E_FILE, "%s: cannot be written as KMZ (%s)", path, CPLGetLastErrorMsg());
    es_file_abandon(temporary);
  }
  CPLPopErrorHandler();
  free(temporary);
  return status;
}
