#include "run/coverage.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "output/output.h"
#include "place/locator.h"

/* --- medians by counting ---------------------------------------------------------------------------------------------------- */

enum { SNR_BINS = 601, HEARD_BINS = 101, MESH = 16 };
static const double SNR_LOW_DB = -150.0, SNR_STEP_DB = 0.5;

typedef struct tally {
  es_patch *patch;
  uint32_t snr[SNR_BINS], heard[HEARD_BINS];
  double cell_share; /* of a square, that one cell covers */
} tally;

static void take(tally *t, double snr, double heard, bool covered) {
  t->patch->answered++;
  t->patch->covered += covered;
  if (!(snr <= t->patch->best_snr_db)) t->patch->best_snr_db = snr;
  t->snr[(int)es_clamp((snr - SNR_LOW_DB) / SNR_STEP_DB + 0.5, 0.0, SNR_BINS - 1.0)]++;
  if (!isnan(heard)) t->heard[(int)es_clamp(heard + 0.5, 0.0, HEARD_BINS - 1.0)]++;
}

static double median_of(const uint32_t *bins, int n, double low, double step) {
  size_t total = 0, seen = 0;
  for (int i = 0; i < n; i++) total += bins[i];
  if (total == 0) return NAN;
  int at = 0;
  while (2 * (seen + bins[at]) < total) seen += bins[at++];
  return low + step * at;
}

static void close_tally(tally *t) {
  t->patch->median_snr_db = median_of(t->snr, SNR_BINS, SNR_LOW_DB, SNR_STEP_DB);
  t->patch->median_heard = median_of(t->heard, HEARD_BINS, 0.0, 1.0);
}

/* --- where cells lie ------------------------------------------------------------------------------------------------------------ */

/* Places of a mesh of cells; between them longitude and latitude are linear, which over 16 cells is far below a cell. */
typedef struct mesh {
  int cols, rows;
  es_lonlat *at;
} mesh;

static bool mesh_create(const es_frame *f, mesh *m) {
  m->cols = f->cols / MESH + 2;
  m->rows = f->rows / MESH + 2;
  m->at = malloc((size_t)m->cols * (size_t)m->rows * sizeof *m->at);
  for (int row = 0; m->at != NULL && row < m->rows; row++)
    for (int col = 0; col < m->cols; col++) {
      double dx, dy;
      es_frame_cell(f, col * MESH, row * MESH, &dx, &dy);
      es_lonlat at = es_frame_place(f, dx, dy);
      at.lon_deg = f->beacon.lon_deg + remainder(at.lon_deg - f->beacon.lon_deg, 360.0);
      m->at[row * m->cols + col] = at;
    }
  return m->at != NULL;
}

static es_lonlat mesh_at(const mesh *m, int col, int row) {
  const es_lonlat *a = &m->at[row / MESH * m->cols + col / MESH], *b = a + 1, *c = a + m->cols, *d = c + 1;
  double x = (double)(col % MESH) / MESH, y = (double)(row % MESH) / MESH;
  return (es_lonlat){(1 - y) * ((1 - x) * a->lon_deg + x * b->lon_deg) + y * ((1 - x) * c->lon_deg + x * d->lon_deg),
                     (1 - y) * ((1 - x) * a->lat_deg + x * b->lat_deg) + y * ((1 - x) * c->lat_deg + x * d->lat_deg)};
}

/* --- squares -------------------------------------------------------------------------------------------------------------------- */

enum { SQUARES_ROUND = 180, SQUARES_UP = 180 }; /* 2 x 1 degrees */

typedef struct squares {
  int32_t *index; /* [row][column] of the whole earth: which tally, or -1 */
  tally *tallies;
  es_coverage *out;
} squares;

static int square_number(es_lonlat at) {
  int col = (int)floor((remainder(at.lon_deg, 360.0) + 180.0) / 2.0) % SQUARES_ROUND;
  int row = (int)es_clamp(floor(at.lat_deg + 90.0), 0.0, SQUARES_UP - 1.0);
  return row * SQUARES_ROUND + col;
}

static es_patch empty_patch(void) { return (es_patch){.best_snr_db = NAN, .median_snr_db = NAN, .median_heard = NAN}; }

/* Area of a square on the sphere, m2. */
static double square_area(es_lonlat at) {
  double south = floor(at.lat_deg), r = ES_EARTH_KM * 1e3;
  return r * r * es_rad(2.0) * (sin(es_rad(south + 1.0)) - sin(es_rad(south)));
}

static int32_t square_add(squares *s, int number, es_lonlat at, double cell_m) {
  es_coverage *out = s->out;
  es_square *grown = realloc(out->squares, (out->n_squares + 1) * sizeof *grown);
  if (grown != NULL) out->squares = grown;
  tally *tallies = grown != NULL ? realloc(s->tallies, (out->n_squares + 1) * sizeof *tallies) : NULL;
  if (tallies == NULL) return ES_E_MEMORY;
  s->tallies = tallies;
  es_square *square = &out->squares[out->n_squares];
  char locator[11];
  *square = (es_square){.is = empty_patch()};
  es_locator_format(at, 4, locator, NULL);
  memcpy(square->locator, locator, 4);
  memset(&s->tallies[out->n_squares], 0, sizeof *s->tallies);
  s->tallies[out->n_squares].cell_share = cell_m * cell_m / square_area(at);
  s->index[number] = (int32_t)out->n_squares++;
  return 0;
}

static int by_locator(const void *a, const void *b) {
  return strcmp(((const es_square *)a)->locator, ((const es_square *)b)->locator);
}

/* --- the pass over the cells ------------------------------------------------------------------------------------------------------ */

typedef struct pass {
  const es_setup *setup;
  const es_map_cells *cells;
  const es_map_layers *layers;
  const float *snr_db; /* at the median, or the percentage nearest to it */
  double needed_db;
  tally all, land, sector[ES_SECTORS][ES_RINGS];
  squares squares;
  mesh mesh;
} pass;

static const float *median_snr(const es_map_layers *l) {
  size_t best = 0;
  for (size_t i = 1; i < l->n_percent; i++)
    if (fabs(l->percent[i] - 50.0) < fabs(l->percent[best] - 50.0)) best = i;
  return l->n_percent > 0 ? l->snr_db[best] : NULL;
}

static tally *sector_of(pass *p, double dx, double dy, double dist) {
  double azimuth = atan2(dx, dy) / (2.0 * ES_PI);
  int sector = (int)floor((azimuth - floor(azimuth)) * ES_SECTORS) % ES_SECTORS;
  int ring = (int)es_clamp(dist / (p->setup->job->map.radius_km * 1e3) * ES_RINGS, 0.0, ES_RINGS - 1.0);
  return &p->sector[sector][ring];
}

static int32_t take_cell(pass *p, int col, int row) {
  const es_frame *f = &p->setup->frame;
  size_t i = (size_t)row * (size_t)f->cols + (size_t)col;
  double dx, dy;
  es_frame_cell(f, col, row, &dx, &dy);
  double dist = hypot(dx, dy);
  if (dist > f->radius_m) return 0;
  es_lonlat at = mesh_at(&p->mesh, col, row);
  int number = square_number(at);
  if (p->squares.index[number] < 0 && square_add(&p->squares, number, at, f->cell_m) != 0) return ES_E_MEMORY;
  size_t square = (size_t)p->squares.index[number];
  p->squares.tallies[square].patch = &p->squares.out->squares[square].is;
  p->squares.out->squares[square].inside += p->squares.tallies[square].cell_share;
  bool sea = es_map_cell_zone(p->cells, i) == ES_ZONE_SEA;
  tally *of[4] = {&p->all, sector_of(p, dx, dy, dist), &p->squares.tallies[square], sea ? NULL : &p->land};
  double snr = p->snr_db[i], heard = p->layers->heard_percent != NULL ? p->layers->heard_percent[i] : NAN;
  bool covered = p->layers->heard_percent != NULL ? heard > 50.0 : snr >= p->needed_db;
  for (int t = 0; t < 4; t++) {
    if (of[t] == NULL) continue;
    of[t]->patch->cells++;
    if (!isnan(snr)) take(of[t], snr, heard, covered);
  }
  return 0;
}

static void open_tallies(pass *p, es_coverage *out) {
  p->all.patch = &out->all;
  p->land.patch = &out->land;
  out->all = out->land = empty_patch();
  for (int s = 0; s < ES_SECTORS; s++)
    for (int r = 0; r < ES_RINGS; r++) {
      out->sector[s][r] = empty_patch();
      p->sector[s][r].patch = &out->sector[s][r];
    }
}

static void close_tallies(pass *p, es_coverage *out) {
  close_tally(&p->all);
  close_tally(&p->land);
  for (int s = 0; s < ES_SECTORS; s++)
    for (int r = 0; r < ES_RINGS; r++) close_tally(&p->sector[s][r]);
  for (size_t i = 0; i < out->n_squares; i++) {
    p->squares.tallies[i].patch = &out->squares[i].is;
    close_tally(&p->squares.tallies[i]);
    out->squares[i].inside = fmin(out->squares[i].inside, 1.0);
  }
  qsort(out->squares, out->n_squares, sizeof *out->squares, by_locator);
  double cell_km = p->setup->frame.cell_m / 1e3;
  out->covered_km2 = (double)out->all.covered * cell_km * cell_km;
}

int32_t es_coverage_make(const es_setup *setup, const es_map_cells *cells, const es_map_layers *layers,
                         es_coverage *out, es_error *err) {
  *out = (es_coverage){0};
  const es_mode *mode = es_mode_find(&setup->job->modes, setup->job->map.receiver.mode);
  pass *p = calloc(1, sizeof *p);
  int32_t *index = malloc(SQUARES_ROUND * SQUARES_UP * sizeof *index);
  int32_t status = p != NULL && index != NULL && mesh_create(&setup->frame, &p->mesh) ? 0 : ES_E_MEMORY;
  if (status == 0) {
    memset(index, 0xFF, SQUARES_ROUND * SQUARES_UP * sizeof *index); /* -1 everywhere */
    p->setup = setup;
    p->cells = cells;
    p->layers = layers;
    p->snr_db = median_snr(layers);
    p->needed_db = mode != NULL ? mode->snr_2500_db : NAN;
    p->squares = (squares){.index = index, .out = out};
    open_tallies(p, out);
    for (int row = 0; status == 0 && p->snr_db != NULL && row < setup->frame.rows; row++) {
      for (int col = 0; status == 0 && col < setup->frame.cols; col++) status = take_cell(p, col, row);
      if (row % MESH == 0 && setup->scratch != NULL) es_map_layers_rest(layers);
    }
    if (status == 0) close_tallies(p, out);
    free(p->squares.tallies);
    free(p->mesh.at);
  }
  free(p);
  free(index);
  if (status != 0) es_coverage_free(out);
  return status == 0 ? 0 : es_fail(err, status, "out of memory");
}

void es_coverage_free(es_coverage *coverage) {
  free(coverage->squares);
  coverage->squares = NULL;
  coverage->n_squares = 0;
}

/* --- tables -------------------------------------------------------------------------------------------------------------------------- */

enum { PATCH_FIELDS = 5 };
#define PATCH_COLUMNS                                                                                                  \
  {"cells", ES_FIELD_WHOLE, 0}, {"covered_percent", ES_FIELD_NUMBER, 1}, {"best_snr_2500hz_db", ES_FIELD_NUMBER, 1},   \
      {"median_snr_2500hz_db", ES_FIELD_NUMBER, 1}, {                                                                  \
    "median_heard_percent", ES_FIELD_NUMBER, 0                                                                         \
  }

static void patch_cells(const es_patch *p, es_cell *out) {
  double covered = p->answered > 0 ? 100.0 * (double)p->covered / (double)p->answered : NAN;
  const double values[PATCH_FIELDS] = {(double)p->cells, covered, p->best_snr_db, p->median_snr_db, p->median_heard};
  for (int i = 0; i < PATCH_FIELDS; i++) out[i] = (es_cell){NULL, values[i]};
}

static int32_t write_sectors(const es_setup *setup, const es_coverage *coverage, const char *path, es_error *err) {
  static const es_field fields[] = {{"from_deg", ES_FIELD_WHOLE, 0},
                                    {"to_deg", ES_FIELD_WHOLE, 0},
                                    {"from_km", ES_FIELD_NUMBER, 1},
                                    {"to_km", ES_FIELD_NUMBER, 1},
                                    PATCH_COLUMNS};
  enum { N = sizeof fields / sizeof *fields };
  es_cell cells[ES_SECTORS * ES_RINGS * N];
  double ring = setup->job->map.radius_km / ES_RINGS;
  for (int i = 0; i < ES_SECTORS * ES_RINGS; i++) {
    int s = i / ES_RINGS, r = i % ES_RINGS;
    es_cell *row = cells + (size_t)i * N;
    const double lead[4] = {s * 360.0 / ES_SECTORS, (s + 1) * 360.0 / ES_SECTORS, r * ring, (r + 1) * ring};
    for (int k = 0; k < 4; k++) row[k] = (es_cell){NULL, lead[k]};
    patch_cells(&coverage->sector[s][r], row + 4);
  }
  return es_csv_write(path, fields, N, cells, ES_SECTORS * ES_RINGS, err);
}

static int32_t write_squares(const es_coverage *coverage, const char *path, es_error *err) {
  static const es_field fields[] = {
      {"square", ES_FIELD_TEXT, 0}, {"on_map_percent", ES_FIELD_NUMBER, 1}, PATCH_COLUMNS};
  enum { N = sizeof fields / sizeof *fields };
  es_cell *cells = calloc(coverage->n_squares * N + 1, sizeof *cells);
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; i < coverage->n_squares; i++) {
    cells[i * N] = (es_cell){coverage->squares[i].locator, NAN};
    cells[i * N + 1] = (es_cell){NULL, 100.0 * coverage->squares[i].inside};
    patch_cells(&coverage->squares[i].is, cells + i * N + 2);
  }
  int32_t status = es_csv_write(path, fields, N, cells, coverage->n_squares, err);
  free(cells);
  return status;
}

int32_t es_coverage_write(const es_setup *setup, const es_scenario *scenario, const es_coverage *coverage,
                          const char *folder, es_error *err) {
  char *sectors_path = es_format("%s/coverage-sectors-%s.csv", folder, scenario->name);
  char *squares_path = es_format("%s/coverage-squares-%s.csv", folder, scenario->name);
  int32_t status = sectors_path != NULL && squares_path != NULL ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = write_sectors(setup, coverage, sectors_path, err);
  if (status == 0) status = write_squares(coverage, squares_path, err);
  free(sectors_path);
  free(squares_path);
  return status;
}
