/* map_bench.c - a map job without its sheets: ground in, layers computed, one GeoTIFF out, and what each took.
 *
 *   map_bench JOB.yaml MODELS_DIR THREADS [all | loss [OUT.tif [cog]]]
 *
 * `all`: the layers of a run. `loss`: that of the first percentage alone, as a program has it that writes one raster. The
 * file is tiled and not compressed, as gdal_viewshed writes its own; `cog`: as a run writes it. Prints `stage wall_s cpu_s`
 * lines, then `cells N` and `peak_mb N`.                                                                                 */
#include <gdal.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

#include "base/large.h"
#include "output/map_raster.h"
#include "run/map.h"
#include "run/worker.h"
#include "stopwatch.h"

/* What gdal_viewshed does with its own raster, in rows of tiles. */
static int32_t write_plain(const es_setup *setup, float *loss_db, const char *path, es_error *err) {
  const es_frame *f = &setup->frame;
  char *tiled[] = {"TILED=YES", NULL};
  double corner[6] = {f->x0, f->cell_m, 0.0, f->y0, 0.0, -f->cell_m};
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("GTiff"), path, f->cols, f->rows, 1, GDT_Float32, tiled);
  if (file == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be made", path);
  GDALSetGeoTransform(file, corner);
  GDALSetProjection(file, f->wkt);
  CPLErr written = CE_None;
  for (int row = 0; row < f->rows && written == CE_None; row += 256) {
    int rows = f->rows - row < 256 ? f->rows - row : 256;
    float *from = loss_db + (size_t)row * (size_t)f->cols;
    written =
        GDALDatasetRasterIO(file, GF_Write, 0, row, f->cols, rows, from, f->cols, rows, GDT_Float32, 1, NULL, 0, 0, 0);
  }
  GDALClose(file);
  return written == CE_None ? 0 : es_fail(err, ES_E_FILE, "%s: cannot be written", path);
}

static int32_t write_loss(const es_setup *setup, const es_map_layers *layers, const char *path, bool cog, int threads,
                          es_error *err) {
  if (!cog) return write_plain(setup, layers->loss_db[0], path, err);
  return es_map_raster_write(path, &setup->frame, layers->loss_db[0], "basic transmission loss", "dB", NULL, NULL, 0,
                             threads, err);
}

/* One layer and no more. */
static bool loss_alone(const es_job *job, size_t n, es_map_layers *out) {
  *out = (es_map_layers){.n_cells = n, .n_percent = 1, .percent = {job->time_percent[0]}};
  out->loss_db[0] = es_large_get(n * sizeof(float));
  for (size_t i = 0; out->loss_db[0] != NULL && i < n; i++) out->loss_db[0][i] = NAN;
  return out->loss_db[0] != NULL;
}

int main(int argc, char **argv) {
  if (argc < 4) return fprintf(stderr, "map_bench JOB.yaml MODELS_DIR THREADS [all | loss [OUT.tif [cog]]]\n"), 2;
  bool alone = argc > 4 && strcmp(argv[4], "loss") == 0, cog = argc > 6;
  es_faults faults = {0};
  es_error err = {0};
  es_setup setup;
  const char *named[] = {argv[2]};
  es_model_folders folders = {named, 1, NULL};
  int threads = atoi(argv[3]);
  clock_pair start = now(), at = start;
  es_job *job = es_job_open(argv[1], &faults);
  if (job == NULL || !es_setup_plan(job, &folders, &setup, &faults) || !es_setup_ground(&setup, &faults, NULL))
    return give_up("map_bench", &faults, &err);
  tell("ground", &at);
  es_worker *workers = es_workers_create(threads);
  es_percentages percents = es_percentages_of(job, setup.timed, setup.highest_percent);
  es_map_cells cells;
  if (workers == NULL || es_map_cells_make(&setup, threads, &cells, &err) != 0)
    return give_up("map_bench", &faults, &err);
  tell("cells", &at);
  for (size_t s = 0; s < job->n_scenarios; s++) {
    es_map_layers layers;
    bool ok = alone ? loss_alone(job, cells.n, &layers) : es_map_layers_create(&setup, cells.n, &layers);
    if (!ok ||
        es_map_fill(&setup, &job->scenarios[s], &cells, &percents, threads, workers, NULL, 1, &layers, &err) != 0)
      return give_up("map_bench", &faults, &err);
    tell("map", &at);
    if (argc > 5 && write_loss(&setup, &layers, argv[5], cog, threads, &err) != 0)
      return give_up("map_bench", &faults, &err);
    tell("write", &at);
    es_map_layers_free(&layers);
  }
  tell("whole", &start);
  struct rusage use;
  getrusage(RUSAGE_SELF, &use);
  printf("cells %zu\npeak_mb %ld\n", cells.n, use.ru_maxrss / 1024);
  es_map_cells_free(&cells);
  es_workers_destroy(workers, threads);
  es_setup_close(&setup);
  es_job_close(job);
  es_faults_free(&faults);
  return 0;
}
