#include "run/estimate.h"

#include <math.h>

#include "run/map.h"
#include "run/map_ahead.h"

/* What a bare run of the program takes: libraries, fonts, coordinate tables. Seen on Debian 12. */
static const size_t PROGRAM_BYTES = 60u << 20;
/* A sheet of 1600 x 1212 pixels while it is drawn and written: its surface and the fields under the map. */
static const size_t SHEET_BYTES = 25u << 20;
/* A layer while it is written as a raster: its overviews, 1/4 + 1/16 + ... of its floats. */
static const double RASTER_BYTES_A_CELL = 4.0 / 3.0;
/* An answer, its record for the report and its part of the page. Seen with 500 to 2000 of them. */
static const size_t ANSWER_BYTES = 80000;
/* What a worker holds of its rays, for each ring of cells and percentage of time. */
static const double RAY_BYTES_A_RING = 6e3, RAY_BYTES_A_PERCENT = 1.4e3;

static size_t larger(size_t a, size_t b) { return a > b ? a : b; }

/* Layers that wait for another scenario's, to be compared with them, and the difference in the making: three of leaves, and
 * one for each pair (one pair is chosen when the job names none), which rest when layers lie on the disk. */
static double waiting_layers(const es_setup *setup) {
  const es_job *job = setup->job;
  double pairs = setup->scratch == NULL ? fmax(1.0, (double)job->n_pairs) : 0.0;
  return job->n_scenarios > 1 ? 3.0 + pairs : 0.0;
}

static void map_bytes(const es_setup *setup, int threads, es_estimate *out) {
  double rows = setup->frame.rows, cells = (double)setup->frame.cols * rows, layer = cells * sizeof(float);
  double percents = setup->timed ? (double)(ES_YEAR_STEPS + setup->job->n_time_percent) : 1.0;
  double layers = layer * (double)es_map_layer_count(setup), waiting = layer * waiting_layers(setup);
  waiting += (double)es_map_passes_of(setup, (size_t)cells).most_bytes;
  double raster = RASTER_BYTES_A_CELL * cells;
  double rays = threads * 0.5 * rows * (RAY_BYTES_A_RING + RAY_BYTES_A_PERCENT * percents);
  bool on_disk = setup->scratch != NULL; /* one layer at a time is in use then, by whoever fills or writes it */
  out->disk_bytes = on_disk ? (size_t)layers : 0;
  out->map_bytes =
      (size_t)(waiting + (on_disk ? layer : layers) + rays + raster) + es_map_cells_bytes(setup) + SHEET_BYTES;
}

/* Without a map the picture of a path is what is drawn. */
static size_t answer_bytes(const es_setup *setup) {
  const es_job *job = setup->job;
  if (job->listeners.n == 0) return 0;
  return job->listeners.n * job->n_scenarios * ANSWER_BYTES + (setup->has_frame ? 0 : SHEET_BYTES);
}

void es_estimate_bytes(const es_setup *setup, int threads, es_estimate *out) {
  out->ground_bytes = setup->facts.bytes;
  out->ground_peak_bytes = setup->facts.bytes_to_open;
  if (setup->has_frame) map_bytes(setup, threads, out);
  out->answer_bytes = answer_bytes(setup);
  size_t work_bytes = out->ground_bytes + out->map_bytes + out->answer_bytes;
  out->peak_bytes = PROGRAM_BYTES + larger(out->ground_peak_bytes, work_bytes);
}

bool es_estimate_fits(es_setup *setup, int threads, const char *scratch, es_faults *faults) {
  es_estimate e = {0};
  es_estimate_bytes(setup, threads, &e);
  if (setup->memory_bytes == 0 || e.peak_bytes <= setup->memory_bytes) return true;
  setup->scratch = scratch;
  for (size_t i = 0; setup->variants != NULL && i < setup->job->n_variants; i++) setup->variants[i].scratch = scratch;
  es_estimate_bytes(setup, threads, &e);
  if (e.peak_bytes <= setup->memory_bytes) return true;
  es_fault_add(faults, setup->job->path, 0,
               "--memory: the job needs about %.0f MB (%.0f MB of ground, %.0f MB of map, %.0f MB of answers) with its "
               "layers on the disk, "
               "%.0f MB are allowed: want more of them, a smaller map or larger cells",
               (double)e.peak_bytes / 1e6, (double)e.ground_bytes / 1e6, (double)e.map_bytes / 1e6,
               (double)e.answer_bytes / 1e6, (double)setup->memory_bytes / 1e6);
  return false;
}
