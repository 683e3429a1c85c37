/* climate_maps.c - reading and interpolating the digital maps of ITU-R P.2001-6 (09/2025) table 3 and P.452-18.
 *
 * Interpolation: ITU-R P.1144, bilinear on the grid; the climate codes of P.2001 attachment E are never averaged.        */
#include "model/climate_maps.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/text.h"
#include "base/units.h"
#include "model/climate.h"

/* --- what the maps are ---------------------------------------------------------------------------------------------------- */

typedef struct layout {
  int rows, cols;
  double step_deg, west_deg, north_deg; /* of the first number */
  bool closes;                          /* the last column repeats the first, a full turn later */
} layout;

static const layout GRID_1_5 = {121, 241, 1.5, 0.0, 90.0, true};
static const layout GRID_1_125 = {161, 321, 1.125, 0.0, 90.0, true};
static const layout GRID_HALF_CELLS = {360, 720, 0.5, -179.75, 89.75, false}; /* centres of cells: asked by nearest */

/* least and most: wider than the world's extremes, to tell a wrong file or unit from a rare climate. */
static const struct kind {
  const char *names[2];
  const layout *grid;
  double least, most;
} kinds[ES_CLIMATE_KEYS] = {
    [ES_DELTA_N_MEDIAN] = {{"DN50", "DN_Median"}, &GRID_1_5, 0.0, 150.0}, /* at 157 the effective radius is infinite */
    [ES_DELTA_N_ENHANCED_SLOPE] = {{"DN_SupSlope"}, &GRID_1_5, 0.0, 200.0},
    [ES_DELTA_N_SUB_SLOPE] = {{"DN_SubSlope"}, &GRID_1_5, 0.0, 200.0},
    [ES_GRADIENT_65M_1PCT] = {{"dndz_01"}, &GRID_1_5, -3000.0, 20.0},
    [ES_VAPOUR_DENSITY] = {{"surfwv_50_fixed"}, &GRID_1_5, 0.0, 50.0},
    [ES_RAIN_6H] = {{"Esarain_Pr6_v5"}, &GRID_1_125, 0.0, 100.0},
    [ES_RAIN_ANNUAL] = {{"Esarain_Mt_v5"}, &GRID_1_125, 0.0, 15000.0},
    [ES_RAIN_CONVECTIVE] = {{"Esarain_Beta_v5"}, &GRID_1_125, 0.0, 1.0},
    [ES_ZERO_ISOTHERM] = {{"h0"}, &GRID_1_5, 0.0, 10.0},
    [ES_TROPO_CLIMATE] = {{"TropoClim"}, &GRID_HALF_CELLS, 0.0, 6.0},
    [ES_N0] = {{"N050"}, &GRID_1_5, 200.0, 500.0},
};

/* Both chains read the median lapse from one map. */
static es_climate_key map_key(es_climate_key key) { return key == ES_DELTA_N ? ES_DELTA_N_MEDIAN : key; }

struct es_climate_maps {
  double *values[ES_CLIMATE_KEYS]; /* rows x cols, the closing column included; NULL: no such map */
  char *files[ES_CLIMATE_KEYS];
};

/* --- reading one map ------------------------------------------------------------------------------------------------------- */

enum { LINE_BYTES = 1 << 16 };
#define BLANKS " \t\r\n"

typedef struct reader {
  const char *file;
  long line;
  es_climate_key key;
  const struct kind *kind;
  double *values;
  int row, cols; /* rows so far; numbers in each, 0 before the first */
  es_faults *faults;
} reader;

/* The next number's text, or NULL at the end of the line. Nothing between two commas is "". */
static char *next_text(char **at) {
  char *start = *at + strspn(*at, BLANKS);
  if (*start == '\0') return NULL;
  char *end = start + strcspn(start, BLANKS ",");
  char *rest = end + strspn(end, BLANKS);
  if (*rest == ',') rest++;
  *end = '\0';
  *at = rest;
  return start;
}

static bool take_number(const reader *r, int col, const char *text, double *out) {
  double value;
  const struct kind *k = r->kind;
  bool codes = r->key == ES_TROPO_CLIMATE;
  if (es_parse_number(text, &value) && value >= k->least && value <= k->most && !(codes && value != floor(value))) {
    *out = value;
    return true;
  }
  const char *unit = es_climate_key_unit(r->key);
  es_fault_add(r->faults, r->file, r->line, "row %d, column %d: \"%.40s\": want a %s from %g to %g%s%s (%s)",
               r->row + 1, col + 1, text, codes ? "whole number" : "number", k->least, k->most,
               unit[0] != '\0' ? " " : "", unit, es_climate_key_name(r->key));
  return false;
}

/* A row is whole when it is as long as the grid, or lacks the closing column as all rows before it do. */
static bool right_length(reader *r, int n) {
  const layout *grid = r->kind->grid;
  int shortest = grid->closes ? grid->cols - 1 : grid->cols;
  if (r->cols == 0 && (n == grid->cols || n == shortest)) r->cols = n;
  if (n == r->cols) return true;
  char want[48] = "";
  if (r->cols > 0)
    snprintf(want, sizeof want, "%d as above", r->cols);
  else if (shortest < grid->cols)
    snprintf(want, sizeof want, "%d or %d", grid->cols, shortest);
  else
    snprintf(want, sizeof want, "%d", grid->cols);
  es_fault_add(r->faults, r->file, r->line, "row %d: %d numbers, want %s (%s, every %g degrees)", r->row + 1, n, want,
               es_climate_key_name(r->key), grid->step_deg);
  return false;
}

/* One row into its place; an empty line is none. */
static bool take_line(reader *r, char *text) {
  const layout *grid = r->kind->grid;
  if (text[strspn(text, BLANKS)] == '\0') return true;
  if (r->row == grid->rows) {
    es_fault_add(r->faults, r->file, r->line, "a row too many, want %d (%s, every %g degrees)", grid->rows,
                 es_climate_key_name(r->key), grid->step_deg);
    return false;
  }
  double *row = r->values + (size_t)r->row * (size_t)grid->cols, beyond;
  int n = 0;
  for (char *number; (number = next_text(&text)) != NULL; n++)
    if (!take_number(r, n, number, n < grid->cols ? &row[n] : &beyond)) return false;
  if (!right_length(r, n)) return false;
  if (n < grid->cols) row[n] = row[0];
  r->row++;
  return true;
}

static bool all_rows(const reader *r) {
  const layout *grid = r->kind->grid;
  if (r->row == grid->rows) return true;
  es_fault_add(r->faults, r->file, r->line, "ends after %d rows, want %d (%s, every %g degrees)", r->row, grid->rows,
               es_climate_key_name(r->key), grid->step_deg);
  return false;
}

static bool read_lines(reader *r, FILE *file, char *text) {
  while (fgets(text, LINE_BYTES, file) != NULL) {
    r->line++;
    if (strchr(text, '\n') == NULL && !feof(file)) {
      es_fault_add(r->faults, r->file, r->line, "no plain text: want lines of numbers, shorter than %d bytes",
                   LINE_BYTES);
      return false;
    }
    bool marked = r->line == 1 && strncmp(text, "\xEF\xBB\xBF", 3) == 0; /* a byte order mark is no part of a number */
    if (!take_line(r, marked ? text + 3 : text)) return false;
  }
  if (ferror(file)) {
    es_fault_add(r->faults, r->file, 0, "cannot be read (%s)", strerror(errno));
    return false;
  }
  return all_rows(r);
}

static double *read_map(FILE *file, const char *path, es_climate_key key, es_faults *faults) {
  const layout *grid = kinds[key].grid;
  double *values = malloc((size_t)grid->rows * (size_t)grid->cols * sizeof *values);
  char *text = malloc(LINE_BYTES);
  reader r = {.file = path, .key = key, .kind = &kinds[key], .values = values, .faults = faults};
  bool ok = values != NULL && text != NULL;
  if (!ok) es_fault_memory(faults, path);
  ok = ok && read_lines(&r, file, text);
  free(text);
  if (ok) return values;
  free(values);
  return NULL;
}

/* --- finding the files ------------------------------------------------------------------------------------------------------ */

/* Opens the first name that is there; *path then is its own. False with a fault; true and no file when there is none. */
static bool find_map(const char *folder, const struct kind *kind, FILE **file, char **path, es_faults *faults) {
  static const char *const endings[] = {".txt", ".TXT", ""};
  for (size_t i = 0; i < 2 && kind->names[i] != NULL; i++)
    for (size_t k = 0; k < 3; k++) {
      char *name = es_format("%s/%s%s", folder, kind->names[i], endings[k]);
      *file = name != NULL ? fopen(name, "r") : NULL;
      if (*file != NULL) {
        *path = name;
        return true;
      }
      bool absent = name != NULL && errno == ENOENT;
      if (!absent) es_fault_add(faults, name, 0, "cannot be read (%s)", strerror(name != NULL ? errno : ENOMEM));
      free(name);
      if (!absent) return false;
    }
  return true;
}

/* Every map of the folder; those that are faulty do not hide the faults of others. */
static bool read_all(es_climate_maps *maps, const char *folder, size_t *found, es_faults *faults) {
  bool ok = true;
  *found = 0;
  for (int key = 0; key < ES_CLIMATE_KEYS; key++) {
    FILE *file = NULL;
    ok &= find_map(folder, &kinds[key], &file, &maps->files[key], faults);
    if (file == NULL) continue;
    maps->values[key] = read_map(file, maps->files[key], (es_climate_key)key, faults);
    ok &= maps->values[key] != NULL;
    fclose(file);
    ++*found;
  }
  return ok;
}

static bool is_folder(const char *path) {
  struct stat about;
  return stat(path, &about) == 0 && S_ISDIR(about.st_mode);
}

es_climate_maps *es_climate_maps_open(const char *folder, const char *job_file, es_faults *faults) {
  if (!is_folder(folder)) {
    es_fault_add(faults, job_file, 0,
                 "climate: maps: %s: no such folder; want the folder of your copies of the ITU maps", folder);
    return NULL;
  }
  es_climate_maps *maps = calloc(1, sizeof *maps);
  if (maps == NULL) {
    es_fault_memory(faults, job_file);
    return NULL;
  }
  size_t found;
  if (!read_all(maps, folder, &found, faults)) {
    es_climate_maps_close(maps);
    return NULL;
  }
  if (found == 0) /* likely the wrong folder, but the next source serves */
    es_note_add(faults, job_file, 0,
                "climate: maps: %s: no map of a known name here (DN50.txt, h0.txt, TropoClim.txt, ...)", folder);
  return maps;
}

void es_climate_maps_close(es_climate_maps *maps) {
  if (maps == NULL) return;
  for (int key = 0; key < ES_CLIMATE_KEYS; key++) {
    free(maps->values[key]);
    free(maps->files[key]);
  }
  free(maps);
}

const char *es_climate_maps_file(const es_climate_maps *maps, es_climate_key key) {
  return maps != NULL ? maps->files[map_key(key)] : NULL;
}

/* --- asking ------------------------------------------------------------------------------------------------------------------ */

/* Steps east of the first column, 0 up to a whole turn; steps south of the first row. */
static double steps_east(const layout *grid, double lon_deg) {
  double east = fmod(lon_deg - grid->west_deg, 360.0);
  return (east < 0.0 ? east + 360.0 : east) / grid->step_deg;
}
static double steps_south(const layout *grid, double lat_deg) {
  return es_clamp((grid->north_deg - lat_deg) / grid->step_deg, 0.0, grid->rows - 1);
}

static double nearest(const layout *grid, const double *values, es_lonlat at) {
  int row = (int)lround(steps_south(grid, at.lat_deg));
  int col = (int)lround(steps_east(grid, at.lon_deg)) % grid->cols;
  return values[row * grid->cols + col];
}

static double bilinear(const layout *grid, const double *values, es_lonlat at) {
  double y = steps_south(grid, at.lat_deg), x = steps_east(grid, at.lon_deg);
  int row = (int)fmin(y, grid->rows - 2), col = (int)fmin(x, grid->cols - 2);
  double south = y - row, east = x - col;
  const double *above = values + row * grid->cols + col, *below = above + grid->cols;
  return (1.0 - south) * ((1.0 - east) * above[0] + east * above[1]) +
         south * ((1.0 - east) * below[0] + east * below[1]);
}

double es_climate_maps_value(const es_climate_maps *maps, es_climate_key key, es_lonlat at) {
  key = map_key(key);
  if (maps == NULL || maps->values[key] == NULL || !isfinite(at.lon_deg) || !isfinite(at.lat_deg)) return NAN;
  const layout *grid = kinds[key].grid;
  return grid->closes ? bilinear(grid, maps->values[key], at) : nearest(grid, maps->values[key], at);
}
