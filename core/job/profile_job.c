/* profile_job.c - one profile given as numbers, and the two ends above it. */
#include <math.h>
#include <stdlib.h>

#include "job/profile_table.h"
#include "job/receiver.h"
#include "job/shared.h"

/* Places of the two ends: both or neither. */
static void read_places(const es_reader *reader, const es_node places[2], es_profile_job *job) {
  es_lonlat *at[2] = {&job->beacon_at, &job->listener_at};
  static const char *const ends[2] = {"beacon", "listener"};
  int found = 0;
  for (int e = 0; e < 2; e++) {
    *at[e] = (es_lonlat){NAN, NAN};
    if (places[e] == ES_NO_NODE) continue;
    found++;
    if (es_read_place(reader, "position", places[e], at[e]) == ES_PLACE_ROUGH)
      es_note_add(reader->faults, reader->file, es_tree_line(reader->tree, places[e]),
                  "%s: a 6-character locator stands for the position, which may be kilometres off", ends[e]);
  }
  if (found == 1)
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, es_tree_root(reader->tree)),
                 "position: want it at both ends or at neither");
  job->has_positions = found == 2;
}

static void read_ends(const es_reader *reader, es_node beacon, es_node listener, es_profile_job *job) {
  es_profile_end_keys ends[2];
  es_profile_antenna_keys antennas[2];
  const es_node nodes[2] = {beacon, listener};
  for (int e = 0; e < 2; e++) {
    es_read_section(reader, nodes[e], &es_profile_end_section, &ends[e]);
    es_read_section(reader, ends[e].antenna, &es_profile_antenna_section, &antennas[e]);
  }
  const es_node places[2] = {ends[0].position, ends[1].position};
  read_places(reader, places, job);
  job->beacon_height_m = antennas[0].height_m;
  job->beacon_gain_dbi = antennas[0].gain_dbi;
  job->listener_height_m = antennas[1].height_m;
  job->listener_gain_dbi = antennas[1].gain_dbi;
}

static void read_profile(const es_reader *reader, es_node node, es_profile_job *job) {
  es_profile_table table = {0};
  job->profile_path = node != ES_NO_NODE ? es_read_path(reader, "profile", node, ES_PATH_FILE) : NULL;
  if (job->profile_path == NULL) return;
  es_profile_table_read(job->profile_path, &table, reader->faults);
  job->n = table.n;
  job->dist_km = table.dist_km;
  job->ground_m = table.ground_m;
  job->cover_m = table.cover_m;
  job->zone = table.zone;
}

static void read_all(const es_reader *reader, es_profile_job *job) {
  es_profile_keys keys;
  es_sea_distance_keys sea;
  es_read_section(reader, es_tree_root(reader->tree), &es_profile_section, &keys);
  es_read_section(reader, keys.sea_distance_km, &es_sea_distance_section, &sea);
  const es_node climate[3] = {keys.climate, keys.climate_beacon_side, keys.climate_listener_side};
  es_climate_read(reader, climate, &job->climate);
  read_profile(reader, keys.profile, job);
  read_ends(reader, keys.beacon, keys.listener, job);
  job->freq_ghz = 1e-3 * keys.frequency_mhz;
  job->polarisation = keys.polarisation;
  job->chain = (es_chain_kind)keys.chain;
  job->convention = keys.convention >= 0 ? keys.convention : keys.chain; /* the two lists run alike */
  job->earth_radius_km = keys.effective_earth_radius_km;
  es_radius_check(reader, job->earth_radius_km, job->chain);
  job->time_percent = es_percent_read(reader, keys.time_percent, false, &job->n_time_percent);
  job->sea_distance_km[0] = sea.beacon;
  job->sea_distance_km[1] = sea.listener;
  job->settings = es_settings_read(reader, keys.settings, &job->n_settings);
}

es_profile_job *es_profile_job_open(const char *path, es_faults *faults) {
  size_t before = faults->n_faults;
  es_tree *tree = es_tree_open(path, faults);
  if (tree == NULL) return NULL;
  es_reader reader = {tree, path, faults};
  es_profile_job *job = calloc(1, sizeof *job);
  if (job == NULL)
    es_fault_memory(faults, path);
  else {
    job->path = es_text_copy(&reader, path);
    read_all(&reader, job);
  }
  es_tree_close(tree);
  if (faults->n_faults == before) return job;
  es_profile_job_close(job);
  return NULL;
}

void es_profile_job_close(es_profile_job *job) {
  if (job == NULL) return;
  es_profile_table_free(&(es_profile_table){job->n, job->dist_km, job->ground_m, job->cover_m, job->zone});
  es_settings_free(job->settings, job->n_settings);
  free(job->climate.maps);
  free(job->time_percent);
  free(job->profile_path);
  free(job->path);
  free(job);
}
