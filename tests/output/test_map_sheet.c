/* test_map_sheet.c - the map sheet: its file, its repeatability, where things stand on it. */
#include <cpl_conv.h>
#include <ogr_srs_api.h>
#include <png.h>

#include "base/units.h"
#include "island.h"
#include "output/graticule.h"
#include "output/map_view.h"
#include "output/palette.h"
#include "scratch.h"

static const es_lonlat BEACON = {-36.1234, 46.5678};

static int32_t draw(const char *path, const island *s, es_map_kind kind, int scale, es_error *err) {
  es_map_ground ground = {s->ground_m, (size_t)s->frame.cols, s->zone};
  es_sheet sheet = island_sheet(kind);
  sheet.scale = scale;
  return es_map_sheet_write(path, &s->frame, s->values, &ground, s->marks, s->n_marks, &sheet, err);
}

/* --- the file ---------------------------------------------------------------------------------------------------- */

typedef struct read_back {
  unsigned width, height;
  int bits, type, intent, unit, n_texts;
  png_uint_32 x_per_m, y_per_m;
  bool title, run;
  png_bytep pixels;
} read_back;

static read_back read_png(const char *path) {
  read_back r = {0};
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct(png);
  png_textp texts;
  png_init_io(png, file);
  png_read_png(png, info, PNG_TRANSFORM_IDENTITY, NULL);
  png_get_IHDR(png, info, &r.width, &r.height, &r.bits, &r.type, NULL, NULL, NULL);
  assert_true(png_get_sRGB(png, info, &r.intent) != 0);
  png_get_pHYs(png, info, &r.x_per_m, &r.y_per_m, &r.unit);
  assert_false(png_get_valid(png, info, PNG_INFO_tIME));
  png_get_text(png, info, &texts, &r.n_texts);
  for (int k = 0; k < r.n_texts; k++) {
    r.title |= strcmp(texts[k].key, "Title") == 0 && strcmp(texts[k].text, "How much of the year it is heard") == 0;
    r.run |= strcmp(texts[k].key, "Run") == 0 && strcmp(texts[k].text, "4F2C91D0") == 0;
  }
  size_t row = 3 * (size_t)r.width;
  r.pixels = malloc(row * r.height);
  assert_non_null(r.pixels);
  for (unsigned y = 0; y < r.height; y++) memcpy(r.pixels + y * row, png_get_rows(png, info)[y], row);
  png_destroy_read_struct(&png, &info, NULL);
  fclose(file);
  return r;
}

static es_rgb pixel(const read_back *r, int x, int y) {
  png_bytep p = r->pixels + 3 * ((size_t)y * r->width + (size_t)x);
  return (es_rgb){p[0], p[1], p[2]};
}

static void file_is_as_promised(void **state) {
  island s = island_make(BEACON, 150e3, 300, ES_MAP_HEARD, 30, 1);
  char *path = scratch_path(state, "m.png");
  assert_int_equal(draw(path, &s, ES_MAP_HEARD, 1, NULL), ES_OK);
  read_back r = read_png(path);
  assert_int_equal(r.width, 1600);
  assert_int_equal(r.height, 1212);
  assert_int_equal(r.bits, 8);
  assert_int_equal(r.type, PNG_COLOR_TYPE_RGB);
  assert_int_equal(r.x_per_m, 5776);
  assert_int_equal(r.unit, PNG_RESOLUTION_METER);
  assert_true(r.title && r.run);
  free(r.pixels);
  assert_int_equal(draw(path, &s, ES_MAP_HEARD, 2, NULL), ES_OK);
  r = read_png(path);
  assert_int_equal(r.width, 3200);
  assert_int_equal(r.y_per_m, 2 * 5776);
  free(r.pixels);
  free(path);
  island_free(&s);
}

static void same_bytes_in_any_order(void **state) {
  island s = island_make(BEACON, 150e3, 300, ES_MAP_HEARD, 200, 4);
  char *one = scratch_path(state, "one.png"), *two = scratch_path(state, "two.png");
  assert_int_equal(draw(one, &s, ES_MAP_HEARD, 1, NULL), ES_OK);
  for (size_t i = 0; i < s.n_marks / 2; i++) {
    size_t other = (37 * i + 11) % s.n_marks;
    es_map_mark mark = s.marks[i];
    s.marks[i] = s.marks[other];
    s.marks[other] = mark;
  }
  sleep(1); /* a clock time would differ */
  assert_int_equal(draw(two, &s, ES_MAP_HEARD, 1, NULL), ES_OK);
  assert_same_files(one, two);
  free(one);
  free(two);
  island_free(&s);
}

/* --- what is seen ------------------------------------------------------------------------------------------------ */

static void fill_plain(island *s, double value) {
  size_t n = (size_t)s->frame.cols * (size_t)s->frame.rows;
  for (size_t i = 0; i < n; i++) {
    s->values[i] = (float)value;
    s->ground_m[i] = 10.0f;
    s->zone[i] = ES_ZONE_INLAND;
  }
}

/* A patch of the map between two distance rings, 60 px wide, north-west of the beacon; at most a line or two cross it. */
enum { PATCH_X = 464, PATCH_Y = 482, PATCH = 60 };

/* Pixels of the patch that lie within `near` of a colour in every channel. */
static int count_patch(const char *path, es_rgb wanted, int near) {
  read_back r = read_png(path);
  int found = 0;
  for (int y = 0; y < PATCH; y++)
    for (int x = 0; x < PATCH; x++) {
      es_rgb c = pixel(&r, PATCH_X + x, PATCH_Y + y);
      found += abs(c.r - wanted.r) <= near && abs(c.g - wanted.g) <= near && abs(c.b - wanted.b) <= near;
    }
  free(r.pixels);
  return found;
}

static void missing_looks_missing(void **state) {
  es_palette p;
  assert_int_equal(es_palette_load(&p, NULL), ES_OK);
  island s = island_make(BEACON, 1000e3, 200, ES_MAP_HEARD, 0, 1);
  fill_plain(&s, NAN);
  char *path = scratch_path(state, "m.png");
  assert_int_equal(draw(path, &s, ES_MAP_HEARD, 1, NULL), ES_OK);
  assert_in_range(count_patch(path, p.paper[ES_PAPER_SHEET], 0), PATCH * PATCH / 2, PATCH * PATCH * 8 / 10);
  assert_in_range(count_patch(path, p.paper[ES_PAPER_NO_DATA], 20), PATCH * PATCH / 10, PATCH * PATCH * 3 / 10);
  fill_plain(&s, 0.0); /* not heard: bare land, no ink at all */
  assert_int_equal(draw(path, &s, ES_MAP_HEARD, 1, NULL), ES_OK);
  assert_true(count_patch(path, p.paper[ES_PAPER_LAND], 0) > PATCH * PATCH * 9 / 10);
  free(path);
  island_free(&s);
}

/* Flat land of one class has the very colour of the palette, and the key shows the same. */
static void colours_are_the_palettes(void **state) {
  es_palette p;
  assert_int_equal(es_palette_load(&p, NULL), ES_OK);
  island s = island_make(BEACON, 1000e3, 200, ES_MAP_LEVEL, 0, 1);
  fill_plain(&s, 30.0);
  char *path = scratch_path(state, "m.png");
  assert_int_equal(draw(path, &s, ES_MAP_LEVEL, 1, NULL), ES_OK);
  assert_true(count_patch(path, p.level[5], 0) > PATCH * PATCH * 9 / 10);
  free(path);
  island_free(&s);
}

/* --- where things stand ------------------------------------------------------------------------------------------ */

static void rings_are_circles_and_cells_lie_under_them(void **state) {
  (void)state;
  es_frame frame = {ES_FRAME_BEACON, BEACON, 0.0, 0.0, -100e3, 100e3, 1000.0, 200, 200, 100e3, NULL, NULL};
  es_view v = es_view_of(&frame);
  for (int degrees = 0; degrees < 360; degrees += 45) {
    double x, y, px, py;
    es_view_polar(&v, 60e3, es_rad(degrees), &x, &y);
    assert_near(hypot(x - ES_MAP_CENTRE_X, y - ES_MAP_CENTRE_Y), 0.6 * ES_MAP_RING_PX, 1e-9);
    assert_true(es_view_place(&v, es_geodesic_ahead(BEACON, degrees, 60e3), &px, &py));
    assert_near(px, x, 1e-6);
    assert_near(py, y, 1e-6);
    double east = x - ES_MAP_CENTRE_X, south = y - ES_MAP_CENTRE_Y;
    assert_near(v.col0 + v.col_east * east + v.col_south * south, 100.0 + 60.0 * sin(es_rad(degrees)), 1e-9);
    assert_near(v.row0 + v.row_east * east + v.row_south * south, 100.0 - 60.0 * cos(es_rad(degrees)), 1e-9);
  }
}

/* A raster's plane is turned against north (here by some 2 degrees, UTM zone 24 near its edge): the cell drawn at a place is
 * the cell that holds it. */
static void turned_rasters_lie_under_their_places(void **state) {
  (void)state;
  es_frame frame;
  char *wkt = NULL;
  OGRSpatialReferenceH utm = OSRNewSpatialReference(NULL);
  assert_int_equal(OSRImportFromEPSG(utm, 32624), OGRERR_NONE);
  assert_int_equal(OSRExportToWkt(utm, &wkt), OGRERR_NONE);
  assert_int_equal(
      es_frame_of_raster((es_lonlat){-36.1, 46.5}, wkt, 672e3, 5203e3, 100.0, 1000, 1000, 40e3, &frame, NULL), ES_OK);
  es_view v = es_view_of(&frame);
  assert_true(fabs(v.row_east) > 0.02 * v.cells_per_px);
  for (int k = 0; k < 8; k++) {
    double dx = 30e3 * sin(k * 0.7), dy = 30e3 * cos(k * 0.7), x, y;
    assert_true(es_view_place(&v, es_frame_place(&frame, dx, dy), &x, &y));
    double east = x - ES_MAP_CENTRE_X, south = y - ES_MAP_CENTRE_Y;
    assert_near(v.col0 + v.col_east * east + v.col_south * south, (frame.beacon_x + dx - frame.x0) / 100.0, 0.3);
    assert_near(v.row0 + v.row_east * east + v.row_south * south, (frame.y0 - frame.beacon_y - dy) / 100.0, 0.3);
  }
  es_frame_fini(&frame);
  CPLFree(wkt);
  OSRDestroySpatialReference(utm);
}

static void graticule_is_round_and_named(void **state) {
  (void)state;
  char text[ES_GRATICULE_LABEL], square[5];
  assert_near(es_graticule_step(2.83), 0.5, 1e-12);
  assert_near(es_graticule_step(0.38), 5.0 / 60.0, 1e-12);
  es_graticule_label(46.5, true, 0.5, text);
  assert_string_equal(text, "46°30′ N");
  es_graticule_label(-181.0, false, 1.0, text);
  assert_string_equal(text, "179° E");
  es_graticule_label(0.0, false, 1.0, text);
  assert_string_equal(text, "0°");
  es_square_name(10.0, 48.0, square); /* Munich, 11.608 E 48.147 N, lies in JN58 (IARU locator system) */
  assert_string_equal(square, "JN58");
  es_square_name(-180.0, -90.0, square);
  assert_string_equal(square, "AA00");
  es_square_name(178.0, 89.0, square);
  assert_string_equal(square, "RR99");
}

static void extent_holds_pole_and_date_line(void **state) {
  (void)state;
  es_frame frame = {ES_FRAME_BEACON, {179.9, -16.5}, 0.0, 0.0, -20e3, 20e3, 100.0, 400, 400, 20e3, NULL, NULL};
  es_view v = es_view_of(&frame);
  es_extent e = es_extent_of(&v);
  assert_true(e.west_deg < -0.15 && e.west_deg > -0.3 && e.east_deg > 0.15 && e.east_deg < 0.3);
  frame.beacon = (es_lonlat){10.0, 89.9};
  v = es_view_of(&frame);
  e = es_extent_of(&v);
  assert_near(e.north_deg, 90.0, 0.0);
  assert_near(e.east_deg - e.west_deg, 360.0, 0.0);
}

/* --- bad input --------------------------------------------------------------------------------------------------- */

static void failing_writes_leave_nothing(void **state) {
  island s = island_make(BEACON, 150e3, 50, ES_MAP_HEARD, 3, 1);
  char *path = scratch_path(state, "none/m.png");
  es_error err = {0};
  assert_int_equal(draw(path, &s, ES_MAP_HEARD, 1, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "none/m.png"));
  assert_int_equal(draw(path, &s, ES_MAP_HEARD, 9, &err), ES_E_RANGE);
  assert_int_equal(scratch_count(*state), 0);
  free(path);
  island_free(&s);
}

/* Long, broken and right-to-left words are cut or shown, never a crash or an error. */
static void any_words_can_be_drawn(void **state) {
  char *path = scratch_path(state, "m.png"), *path2 = scratch_path(state, "n.png"), many[4001];
  memset(many, 'W', 4000);
  many[4000] = '\0';
  island s = island_make(BEACON, 150e3, 50, ES_MAP_WAY, 4, 1);
  s.marks[0].name = many;
  s.marks[1].name = "\xff\xfe broken";
  s.marks[2].name = "קו אש\n1";
  s.marks[3].name = "";
  s.marks[3].value = NAN;
  es_map_ground ground = {s.ground_m, (size_t)s.frame.cols, s.zone};
  es_sheet sheet = island_sheet(ES_MAP_WAY);
  sheet.title = sheet.lead = sheet.foot = sheet.colours_note = sheet.how_sure = sheet.eyebrow = many;
  assert_int_equal(es_map_sheet_write(path, &s.frame, s.values, &ground, s.marks, 4, &sheet, NULL), ES_OK);
  sheet = (es_sheet){.kind = ES_MAP_WAY, .eyebrow = "", .title = "", .scale = 1};
  assert_int_equal(es_map_sheet_write(path2, &s.frame, s.values, &ground, NULL, 0, &sheet, NULL), ES_OK);
  island_free(&s);
  free(path);
  free(path2);
}

#define IN_SCRATCH(test) cmocka_unit_test_setup_teardown(test, scratch_make, scratch_remove)
int main(void) {
  const struct CMUnitTest tests[] = {IN_SCRATCH(file_is_as_promised),
                                     IN_SCRATCH(same_bytes_in_any_order),
                                     IN_SCRATCH(missing_looks_missing),
                                     IN_SCRATCH(colours_are_the_palettes),
                                     cmocka_unit_test(rings_are_circles_and_cells_lie_under_them),
                                     cmocka_unit_test(turned_rasters_lie_under_their_places),
                                     cmocka_unit_test(graticule_is_round_and_named),
                                     cmocka_unit_test(extent_holds_pole_and_date_line),
                                     IN_SCRATCH(failing_writes_leave_nothing),
                                     IN_SCRATCH(any_words_can_be_drawn)};
  return cmocka_run_group_tests_name("map_sheet", tests, NULL, NULL);
}
