/* job.h - the job file: YAML in, const structures out [libyaml].
 *
 * The whole file is read before anything is judged: unknown keys, wrong kinds, values out of range, missing files
 * and bad list rows all become faults with file and line, told together. libyaml's document tree is used rather
 * than a schema loader because those stop at the first fault.
 *
 * Everything is const once es_job_open() has returned. */
#ifndef EARSHOT_JOB_JOB_H
#define EARSHOT_JOB_JOB_H

#include "earshot/model.h"
#include "ground/cover_table.h"
#include "ground/ground.h"
#include "station/keying.h"
#include "station/obstacle.h"
#include "station/station.h"

typedef enum es_chain_kind { ES_CHAIN_DIFFRACTION, ES_CHAIN_WHOLE_YEAR, ES_CHAIN_OPENINGS } es_chain_kind;
typedef enum es_grid_kind { ES_GRID_BEACON, ES_GRID_ELEVATION } es_grid_kind;

/* Climate: NaN where the user gave nothing. [0] whole path, [1] beacon side, [2] listener side (NaN: as the path). */
typedef struct es_climate_plan {
  double value[3][ES_CLIMATE_KEYS];
  char *maps; /* folder with the user's own copies of the ITU maps, or NULL. Owned */
} es_climate_plan;

/* One setting of one model, as written: "settings: {diffraction: {convention: p2001}}". Checked by the model host. */
typedef struct es_model_setting {
  char *model, *key, *value;
  long line;
} es_model_setting;

typedef struct es_map_plan {
  bool wanted;
  double radius_km, cell_m;
  es_grid_kind grid;
  es_receiver receiver; /* the standard listener of the map */
  int width_px;         /* of the sheet: 1600 or a multiple */
} es_map_plan;

/* Sigmas of the spread in dB, NaN where the user gave nothing; and how wide a signal gets. */
typedef struct es_spread_plan {
  double pattern_db, model_db, foliage_db, ear_db;
  double scatter_hz, drift_hz;
} es_spread_plan;

/* What only the beacon's sheet and the cards say. Texts are "" when absent. */
typedef enum es_reference { ES_REFERENCE_NONE, ES_REFERENCE_CRYSTAL, ES_REFERENCE_OCXO, ES_REFERENCE_GPS } es_reference;
typedef struct es_sheet_plan {
  char keeper[96], report_to[96], schedule[96], status[64], last_checked[32], licence[96];
  es_reference reference;
  double reference_mhz, error_ppm; /* of the frequency sent */
  double multiply[8];
  size_t n_multiply;
  int32_t rules; /* ES_RULES_ICNIRP_2020, ES_RULES_FCC */
  es_keying keying;
} es_sheet_plan;

/* A scenario is one combination of everything that varies: a variant of the beacon, its height and power, a season. */
typedef struct es_scenario {
  char *name; /* "18m-27dbm-in-leaf"; safe as part of a file name. Owned */
  double height_m, power_dbm;
  int32_t season; /* ES_NO_TREES, ES_IN_LEAF, ES_OUT_OF_LEAF */
  size_t variant; /* index into es_job.variants */
} es_scenario;

/* What is wanted most: listeners that hear the beacon by a mode for a share of the time, or area; some listeners first. */
typedef enum es_aim_by { ES_AIM_LISTENERS, ES_AIM_AREA } es_aim_by;
typedef struct es_aim {
  char mode[32];       /* id; "": each listener's own */
  double time_percent; /* of the year; without meaning for a chain without time */
  es_aim_by by;
  size_t *first; /* listeners that come before all else; owned */
  size_t n_first;
} es_aim;

/* Two scenarios side by side: what changes on the way from one to the other. */
typedef struct es_pair {
  size_t from, to;
} es_pair;
enum { ES_MOST_PAIRS = 99 };

/* Trees: how their heights are read, and what is told about them. What the loss model is told is among the settings. */
typedef struct es_trees_plan {
  double height_factor, growth_m; /* heights of rasters are multiplied, then grown (growth a year times years) */
  uint8_t leaf;                   /* of a canopy raster without cover classes: ES_BROADLEAF ... */
  double leaf_months;             /* of the year in leaf; NaN: the seasons are not weighed into one figure */
  double wind_m_s, trim_to_m;     /* NaN: not asked */
} es_trees_plan;

typedef struct es_job {
  char *path;      /* of the job file */
  uint64_t digest; /* of all it says and the files it names: see job/digest.h */
  es_beacon beacon;
  es_modes modes;
  es_listeners listeners;
  char *listeners_path; /* NULL when there is no list */
  es_receiver listener_defaults;
  es_ground_plan ground;               /* strings owned by the job */
  char *vertical_datum;                /* as the user wrote it: "EGM2008"; else "not stated" */
  char *elevation_year, *surface_note; /* optional words for the foot of a sheet, "" when absent */
  es_surface_kind surface;
  es_cover_table cover_table; /* given: cover classes carry trees */
  char *cover_table_path;     /* of the user's own; NULL: built in, or none */
  es_trees_plan trees;
  double growth_m_per_year; /* of the trees of rasters */
  es_obstacles obstacles;
  char *obstacles_path; /* NULL when there is no list of its own */
  es_climate_plan climate;
  es_chain_kind chain;
  int32_t convention;     /* of the diffraction model: 0 p526, 1 p2001, 2 p452; -1: the model's own */
  double earth_radius_km; /* diffraction chain: given, or from delta_n_median when NaN */
  char **models;          /* ids the user listed; NULL: the chain's own list */
  size_t n_models;
  es_model_setting *settings;
  size_t n_settings;
  double *time_percent; /* increasing */
  size_t n_time_percent;
  es_map_plan map;
  es_spread_plan spread;
  es_sheet_plan sheet;
  bool want_help; /* what would help is computed for each listener */
  double report_max_mb;
  es_aim aim;
  es_pair *pairs; /* of `compare`; NULL: the job names none */
  size_t n_pairs;
  es_scenario *scenarios; /* at least one */
  size_t n_scenarios;
  /* The job as it is in each variant: the first is this job itself, the others share with it what does not vary (listeners
   * in the same order always, and the list of scenarios). At least one. */
  const struct es_job **variants;
  size_t n_variants;
  /* Of this variant; equal numbers: the same place; the same antenna, direction, polarisation and frequency. */
  size_t site, beam;
  char *variant;      /* what is special about it, part of the names of its scenarios; "" */
  bool own_listeners; /* private: this variant has read the list again */
} es_job;

/* Reads a job and all its lists and tables. NULL when there is any fault. Notes may be added either way. [setup] */
es_job *es_job_open(const char *path, es_faults *faults);
/* The same, but what could be read of a faulty job is given too, so that its models and rasters can be looked at before
 * all faults are told together. NULL when it is no YAML at all, or memory ran out. Numbers that could not be read are NaN,
 * words that are none of the choices are as if absent. [setup] */
es_job *es_job_read(const char *path, es_faults *faults);
void es_job_close(es_job *job);
/* The job as it is in a scenario. */
const es_job *es_job_in(const es_job *job, size_t scenario);
/* The job knows of trees, buildings or ridges that may stand in a path. */
bool es_job_has_canopy(const es_job *job);

/* One profile given as numbers, for `earshot profile`. */
typedef struct es_profile_job {
  char *path, *profile_path;
  size_t n;
  double *dist_km, *ground_m, *cover_m; /* cover_m NULL when the file has no such column */
  uint8_t *zone;
  double freq_ghz;
  int32_t polarisation;
  es_chain_kind chain;
  int32_t convention;     /* 0 p526, 1 p2001, 2 p452; when absent that of the chain, in the order of es_chain_kind */
  double earth_radius_km; /* NaN when not given */
  double *time_percent;   /* in the order written */
  size_t n_time_percent;
  es_lonlat beacon_at, listener_at;
  bool has_positions;
  double beacon_height_m, listener_height_m, beacon_gain_dbi, listener_gain_dbi;
  es_climate_plan climate;
  double sea_distance_km[2]; /* beacon, listener; NaN: from the profile's zones */
  es_model_setting *settings;
  size_t n_settings;
} es_profile_job;

es_profile_job *es_profile_job_open(const char *path, es_faults *faults);
void es_profile_job_close(es_profile_job *job);

#endif
