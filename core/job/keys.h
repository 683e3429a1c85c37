/* keys.h - every key of a job and of a profile file: one table that the reader obeys and the pages are checked
 * against.
 *
 * A section is read into a plain structure (the es_*_keys below): numbers, texts and choices at once, everything
 * else as a node that its own reader takes up. */
#ifndef EARSHOT_JOB_KEYS_H
#define EARSHOT_JOB_KEYS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "earshot/model.h"
#include "job/tree.h"

typedef enum es_key_kind {
  ES_KEY_NUMBER, /* double; NaN: absent or faulty */
  ES_KEY_WHOLE,  /* the same, without a fraction */
  ES_KEY_TEXT,   /* const char *, borrowed from the tree; NULL: absent */
  ES_KEY_CHOICE, /* int32_t: index of the word in `choices` */
  ES_KEY_NODE    /* es_node, read elsewhere */
} es_key_kind;

typedef struct es_key {
  const char *name;
  es_key_kind kind;
  bool required;
  size_t offset; /* in the structure */
  double min, max, fallback;
  const char *unit, *choices; /* choices: "horizontal|vertical" */
  const char *form;           /* ES_KEY_NODE: what is wanted, in words */
  const char *absent;         /* what holds when the key is absent, in words; NULL: the fallback */
  const char *help;
} es_key;

typedef struct es_section {
  const char *name; /* "beacon.antenna"; "" is the top of the file */
  const es_key *keys;
  size_t n;
} es_section;

typedef struct es_top_keys {
  es_node beacon, listeners, listener_defaults, modes, ground, climate, climate_beacon_side, climate_listener_side,
      season, time_percent, models, settings, map, vary, aim, compare, spread, trees, obstacles, report;
  const char *listener_layer;
  int32_t chain, convention, help;
  double effective_earth_radius_km;
} es_top_keys;

typedef struct es_beacon_keys {
  const char *name, *call;
  es_node position, antenna, power, keying, sheet;
  double frequency_mhz;
  int32_t polarisation;
} es_beacon_keys;

/* What makes the shape of an antenna, at either end. */
typedef struct es_shape_keys {
  double gain_dbi, dish_m, efficiency, slots, guide_mm, ripple_db, elevation_beam_deg, peak_dbi, pointing_error_deg;
  es_node horn_mm, beam_deg, sector_deg;
  int32_t side_lobes; /* as es_side_lobes */
} es_shape_keys;

typedef struct es_antenna_keys {
  const char *name;
  es_shape_keys shape;
  double height_m, azimuth_deg, tilt_deg;
  es_node pattern;
} es_antenna_keys;

typedef struct es_power_keys {
  double at_amplifier_dbm, eirp_dbm, erp_dbm, sigma_db, feeder_loss_db;
  es_node meter, feeder;
} es_power_keys;

typedef struct es_meter_keys {
  double reading_dbm, attenuator_db, sigma_db;
} es_meter_keys;

typedef struct es_feeder_keys {
  const char *name, *line;
  double length_m, extra_percent;
  int32_t amplifier; /* 0 at the foot, 1 at the antenna */
  es_node connectors, table;
} es_feeder_keys;

typedef struct es_connector_keys {
  double sma, n, transition;
} es_connector_keys;

typedef struct es_keying_keys {
  const char *message;
  int32_t kind; /* as es_keying_kind */
  double wpm, shift_hz, digital_s, carrier_s, pause_s;
} es_keying_keys;

typedef struct es_sheet_keys {
  const char *keeper, *report_to, *schedule, *status, *last_checked, *licence;
  int32_t reference, exposure_rules;
  double reference_mhz, error_ppm;
  es_node multiply;
} es_sheet_keys;

typedef struct es_receiver_keys {
  es_shape_keys shape;
  double height_m, azimuth_deg, tilt_deg, cross_polar_db, noise_figure_db, feeder_loss_db, antenna_temperature_k,
      lnb_lo_mhz, lnb_error_ppm;
  int32_t polarisation; /* as ES_POLAR_SAME; -1: as the usual listener */
  es_node mode;
} es_receiver_keys;

typedef struct es_ground_keys {
  es_node elevation, canopy_height, cover, cover_table, mask;
  int32_t units, canopy_units, surface, cover_legend, canopy_on_surface;
  double mask_sea_value, fill_gap_m;
  const char *crs, *vertical_datum, *year, *note;
} es_ground_keys;

typedef struct es_trees_keys {
  int32_t through, species, leaf;
  double beam_deg, gamma_in_leaf_db_m, gamma_out_of_leaf_db_m, gamma_conifer_db_m, ceiling_in_leaf_db,
      ceiling_out_of_leaf_db, ceiling_conifer_db;
  double height_factor, growth_m_per_year, years, leaf_months, wind_m_s, trim_to_m;
} es_trees_keys;

typedef struct es_obstacle_keys {
  const char *station, *kind, *leaf;
  double azimuth_from_deg, azimuth_to_deg, distance_m, depth_m, top_m, base_m, density;
} es_obstacle_keys;

typedef struct es_weather_keys {
  double value[ES_CLIMATE_KEYS];
  es_node maps;
} es_weather_keys;

typedef struct es_map_keys {
  double radius_km, cell_m, width_px;
  int32_t grid;
  es_node receiver;
} es_map_keys;

typedef struct es_vary_keys {
  es_node height_m, power_dbm, season, site, frequency_mhz, polarisation, antenna, azimuth_deg, tilt_deg, feeder,
      amplifier, years;
} es_vary_keys;

typedef struct es_aim_keys {
  es_node mode, first;
  double time_percent;
  int32_t by; /* as es_aim_by */
} es_aim_keys;

typedef struct es_compare_keys {
  const char *from, *to;
} es_compare_keys;

typedef struct es_site_keys {
  const char *name;
  es_node position;
} es_site_keys;

typedef struct es_spread_keys {
  double pattern_db, model_db, foliage_db, ear_db, scatter_hz, drift_hz;
} es_spread_keys;

typedef struct es_report_keys {
  double max_mb;
} es_report_keys;

typedef struct es_profile_keys {
  es_node profile, time_percent, beacon, listener, climate, climate_beacon_side, climate_listener_side, sea_distance_km,
      settings;
  double frequency_mhz, effective_earth_radius_km;
  int32_t polarisation, chain, convention;
} es_profile_keys;

typedef struct es_profile_end_keys {
  es_node position, antenna;
} es_profile_end_keys;

typedef struct es_profile_antenna_keys {
  double height_m, gain_dbi;
} es_profile_antenna_keys;

typedef struct es_sea_distance_keys {
  double beacon, listener;
} es_sea_distance_keys;

extern const es_section es_top_section, es_beacon_section, es_antenna_section, es_power_section, es_meter_section,
    es_feeder_section, es_connector_section, es_keying_section, es_sheet_section, es_receiver_section,
    es_ground_section, es_trees_section, es_obstacle_section, es_climate_section, es_climate_side_section,
    es_map_section, es_vary_section, es_site_section, es_aim_section, es_compare_section, es_spread_section,
    es_report_section, es_profile_section, es_profile_end_section, es_profile_antenna_section, es_sea_distance_section;

/* The row of a key in the reference pages: "| `key` | what is wanted | unit | when absent | help |". Caller frees. */
char *es_key_row(const es_key *key);

#endif
