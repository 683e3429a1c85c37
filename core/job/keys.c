#include "job/keys.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

/* X_(type, field, ...): the key is named as the field. */
#define NUMBER(type, field, unit_, low, high, other, help_)                                                            \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NUMBER, .offset = offsetof(type, field), .unit = (unit_), .min = (low),             \
    .max = (high), .fallback = (other), .help = (help_)                                                                \
  }
#define NUMBER_ELSE(type, field, unit_, low, high, absent_, help_)                                                     \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NUMBER, .offset = offsetof(type, field), .unit = (unit_), .min = (low),             \
    .max = (high), .fallback = NAN, .absent = (absent_), .help = (help_)                                               \
  }
#define NUMBER_WANTED(type, field, unit_, low, high, help_)                                                            \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NUMBER, .required = true, .offset = offsetof(type, field), .unit = (unit_),         \
    .min = (low), .max = (high), .fallback = NAN, .help = (help_)                                                      \
  }
#define TEXT(type, field, absent_, help_)                                                                              \
  { .name = #field, .kind = ES_KEY_TEXT, .offset = offsetof(type, field), .absent = (absent_), .help = (help_) }
#define CHOICE(type, field, words, other, absent_, help_)                                                              \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_CHOICE, .offset = offsetof(type, field), .choices = (words), .fallback = (other),   \
    .absent = (absent_), .help = (help_)                                                                               \
  }
#define NODE(type, field, form_, absent_, help_)                                                                       \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NODE, .offset = offsetof(type, field), .form = (form_), .absent = (absent_),        \
    .help = (help_)                                                                                                    \
  }
#define NODE_WANTED(type, field, form_, help_)                                                                         \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NODE, .required = true, .offset = offsetof(type, field), .form = (form_),           \
    .help = (help_)                                                                                                    \
  }
#define SECTION(variable, title, table)                                                                                \
  const es_section variable = {.name = (title), .keys = (table), .n = sizeof(table) / sizeof *(table)}

#define CHAINS      "diffraction|whole-year|openings" /* as es_chain_kind */
#define CONVENTIONS "p526|p2001|p452"
#define POLARS      "horizontal|vertical" /* as ES_HORIZONTAL, ES_VERTICAL */
#define PLACE       "[lon, lat] or a locator of 6 to 10 characters"
#define CLIMATE     "the maps, else the latitude, else a default"

static const es_key top[] = {
    NODE_WANTED(es_top_keys, beacon, "section", "the transmitter"),
    NODE(es_top_keys, listeners, "file", "no listeners", "a list of places: CSV, GeoJSON, GeoPackage, KML or GPX"),
    TEXT(es_top_keys, listener_layer, "the first layer of points", "layer of that file"),
    NODE(es_top_keys, listener_defaults, "section", "as below", "what a row of the list does not say"),
    NODE(es_top_keys, modes, "file", "the built-in modes", "CSV of your own modes; equal ids replace built-in ones"),
    NODE_WANTED(es_top_keys, ground, "section", "what lies under the paths"),
    NODE(es_top_keys, climate, "section", CLIMATE, "weather of the place"),
    NODE(es_top_keys, climate_beacon_side, "section", "as climate", "the same at the beacon's side"),
    NODE(es_top_keys, climate_listener_side, "section", "as climate", "the same at the listener's side"),
    NODE(es_top_keys, season, "no-trees, in-leaf, out-of-leaf, or a list of them", "no-trees",
         "state of the trees; each is a scenario"),
    NODE(es_top_keys, time_percent, "increasing list, above 0 and below 100", "[50]",
         "percentages of the year for which losses are told"),
    CHOICE(es_top_keys, chain, CHAINS, 1, NULL, "how losses are combined"),
    CHOICE(es_top_keys, convention, CONVENTIONS, -1, "the model's own", "constants of the diffraction model"),
    NUMBER_ELSE(es_top_keys, effective_earth_radius_km, "km", 1000, 1e6, "from delta_n_median",
                "effective Earth radius; diffraction chain only"),
    NODE(es_top_keys, models, "list of model ids", "the chain's own list", "the models to use"),
    NODE(es_top_keys, settings, "section of sections", "the models' own", "settings by model: {model: {key: value}}"),
    NODE(es_top_keys, map, "section", "no map", "the coverage map"),
    NODE(es_top_keys, vary, "section", "nothing varies", "heights and powers to compare"),
    NODE(es_top_keys, report, "section", "as below", "the page that people pass on"),
};
SECTION(es_top_section, "", top);

static const es_key beacon[] = {
    {.name = "name",
     .kind = ES_KEY_TEXT,
     .required = true,
     .offset = offsetof(es_beacon_keys, name),
     .help = "its name, on every sheet"},
    TEXT(es_beacon_keys, call, "none", "call sign"),
    NODE_WANTED(es_beacon_keys, position, PLACE, "where it stands, WGS 84, degrees east and north"),
    NUMBER_WANTED(es_beacon_keys, frequency_mhz, "MHz", 1000, 50000, "frequency"),
    CHOICE(es_beacon_keys, polarisation, POLARS, 0, NULL, "polarisation"),
    NODE_WANTED(es_beacon_keys, antenna, "section", "its antenna"),
    NODE(es_beacon_keys, power, "section", "vary.power_dbm, no feeder loss", "its power"),
};
SECTION(es_beacon_section, "beacon", beacon);

#define SHAPES "another shape"
/* A key of es_shape_keys within the structure of its section. */
#define SHAPE_NUMBER(type, field, unit_, low, high, absent_, help_)                                                    \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NUMBER, .offset = offsetof(type, shape.field), .unit = (unit_), .min = (low),       \
    .max = (high), .fallback = NAN, .absent = (absent_), .help = (help_)                                               \
  }
#define SHAPE_NODE(type, field, form_, help_)                                                                          \
  {                                                                                                                    \
    .name = #field, .kind = ES_KEY_NODE, .offset = offsetof(type, shape.field), .form = (form_), .absent = SHAPES,     \
    .help = (help_)                                                                                                    \
  }
#define SHAPE_KEYS(type)                                                                                               \
  SHAPE_NUMBER(type, efficiency, "", 0.05, 1, "0.55", "aperture efficiency of the dish"),                              \
      {.name = "side_lobes",                                                                                           \
       .kind = ES_KEY_CHOICE,                                                                                          \
       .offset = offsetof(type, shape.side_lobes),                                                                     \
       .choices = "f1245|f699",                                                                                        \
       .fallback = 0,                                                                                                  \
       .help = "of a dish: the average (ITU-R F.1245) or the envelope (F.699)"},                                       \
      SHAPE_NODE(type, horn_mm, "[H plane, E plane], in mm", "inner sides of a pyramidal horn's mouth"),               \
      SHAPE_NUMBER(type, slots, "", 2, 200, SHAPES, "slots of a slotted guide, both faces together"),                  \
      SHAPE_NUMBER(type, guide_mm, "mm", 2, 200, "22.86", "inner width of the slotted guide"),                         \
      SHAPE_NUMBER(type, ripple_db, "dB", 0, 6, "0", "how far its gain swings about the peak, going round"),           \
      SHAPE_NODE(type, beam_deg, "[azimuth, elevation], in degrees", "half-power widths of a Gaussian beam"),          \
      SHAPE_NODE(type, sector_deg, "[azimuth, elevation], in degrees", "half-power widths of a sector antenna"),       \
      SHAPE_NUMBER(type, elevation_beam_deg, "degrees", 1, 180, "every elevation", "half-power width, with gain_dbi"), \
      SHAPE_NUMBER(type, peak_dbi, "dBi", -30, 80, "from the shape; a table's own, when in dBi", "largest gain"),      \
      SHAPE_NUMBER(type, pointing_error_deg, "degrees", -45, 45, "0", "how far beside its aim it points, clockwise")

static const es_key antenna[] = {
    SHAPE_NUMBER(es_antenna_keys, gain_dbi, "dBi", -30, 80, SHAPES, "the same gain all round; 0: isotropic"),
    SHAPE_NUMBER(es_antenna_keys, dish_m, "m", 0.05, 50, SHAPES, "diameter of a dish"),
    NODE(es_antenna_keys, pattern, "file", SHAPES, "CSV of a measured pattern"),
    SHAPE_KEYS(es_antenna_keys),
    NUMBER_ELSE(es_antenna_keys, height_m, "m", 0, 1000, "vary.height_m", "antenna above ground"),
    NUMBER_ELSE(es_antenna_keys, azimuth_deg, "degrees", -360, 360, "0; a dish, horn, beam or sector must say",
                "where it points, clockwise from true north"),
    NUMBER(es_antenna_keys, tilt_deg, "degrees", -90, 90, 0, "elevation of the axis, up is positive"),
};
SECTION(es_antenna_section, "beacon.antenna", antenna);

static const es_key power[] = {
    NUMBER_ELSE(es_power_keys, at_amplifier_dbm, "dBm", -60, 90, "vary.power_dbm", "power at the amplifier's output"),
    NODE(es_power_keys, meter, "section", "no meter", "the same, as read on a meter behind an attenuator"),
    NUMBER_ELSE(es_power_keys, eirp_dbm, "dBm", -60, 150, "from the amplifier",
                "power radiated in the best direction, against an isotropic antenna"),
    NUMBER_ELSE(es_power_keys, erp_dbm, "dBm", -60, 150, "from the amplifier",
                "the same against a half-wave dipole: 2.15 dB less"),
    NUMBER_ELSE(es_power_keys, sigma_db, "dB", 0, 20, "1, or the meter's",
                "how far the power may be off, one standard deviation"),
    NUMBER_ELSE(es_power_keys, feeder_loss_db, "dB", 0, 60, "0, or from feeder", "loss between amplifier and antenna"),
    NODE(es_power_keys, feeder, "section", "feeder_loss_db", "the line between them, by kind and length"),
};
SECTION(es_power_section, "beacon.power", power);

static const es_key meter[] = {
    NUMBER_WANTED(es_meter_keys, reading_dbm, "dBm", -90, 90, "what the meter shows"),
    NUMBER(es_meter_keys, attenuator_db, "dB", 0, 90, 0, "attenuation or coupling ahead of the meter"),
    NUMBER(es_meter_keys, sigma_db, "dB", 0, 20, 0.5, "how far both together may be off, one standard deviation"),
};
SECTION(es_meter_section, "beacon.power.meter", meter);

static const es_key feeder[] = {
    TEXT(es_feeder_keys, line, "must be given when the amplifier is at the foot",
         "kind of line, from the table of lines"),
    NUMBER_ELSE(es_feeder_keys, length_m, "m", 0, 1000, "must be given when the amplifier is at the foot",
                "its length at beacon.antenna.height_m; other heights make it longer or shorter"),
    CHOICE(es_feeder_keys, amplifier, "foot|antenna", 0, NULL, "where the amplifier sits"),
    NUMBER(es_feeder_keys, extra_percent, "%", 0, 200, 0, "loss of a real line above that of the table"),
    NODE(es_feeder_keys, connectors, "section", "none", "how many pairs of connectors, and transitions"),
    NODE(es_feeder_keys, table, "file", "the built-in lines",
         "CSV of your own lines; equal names replace built-in ones"),
};
SECTION(es_feeder_section, "beacon.power.feeder", feeder);

static const es_key connectors[] = {
    NUMBER(es_connector_keys, sma, "", 0, 100, 0, "pairs of SMA, 0.1 dB each"),
    NUMBER(es_connector_keys, n, "", 0, 100, 0, "pairs of N, 0.15 dB each"),
    NUMBER(es_connector_keys, transition, "", 0, 100, 0, "waveguide to coax, 0.2 dB each"),
};
SECTION(es_connector_section, "beacon.power.feeder.connectors", connectors);

#define POLARS_OF_LISTENERS "as-beacon|horizontal|vertical|slant|right-circular|left-circular" /* as ES_POLAR_SAME */

static const es_key receiver[] = {
    NUMBER_ELSE(es_receiver_keys, height_m, "m", 0, 1000, "10", "antenna above ground"),
    SHAPE_NUMBER(es_receiver_keys, gain_dbi, "dBi", -30, 80, "a dish", "the same gain all round"),
    SHAPE_NUMBER(es_receiver_keys, dish_m, "m", 0.05, 50, "0.6", "diameter of a dish"),
    SHAPE_KEYS(es_receiver_keys),
    NUMBER_ELSE(es_receiver_keys, azimuth_deg, "degrees", -360, 360, "points at the beacon",
                "where it points, clockwise from true north"),
    NUMBER_ELSE(es_receiver_keys, tilt_deg, "degrees", -90, 90, "0", "elevation of the axis, up is positive"),
    CHOICE(es_receiver_keys, polarisation, POLARS_OF_LISTENERS, -1, "as-beacon", "polarisation of the antenna"),
    NUMBER_ELSE(es_receiver_keys, cross_polar_db, "dB", 0, 60, "25", "most that crossed polarisation loses (XPD)"),
    NUMBER_ELSE(es_receiver_keys, noise_figure_db, "dB", 0, 30, "1", "noise figure of the LNB or the receiver"),
    NUMBER_ELSE(es_receiver_keys, feeder_loss_db, "dB", 0, 60, "0.3", "loss between antenna and receiver"),
    NUMBER_ELSE(es_receiver_keys, antenna_temperature_k, "K", 2.7, 10000, "from the beam and its horizon",
                "noise picked up by the antenna"),
    NUMBER_ELSE(es_receiver_keys, lnb_lo_mhz, "MHz", 0, 100000, "9750", "local oscillator of the LNB, for the card"),
    NUMBER_ELSE(es_receiver_keys, lnb_error_ppm, "ppm", 0, 1000, "10", "how far that oscillator may be off"),
    NODE(es_receiver_keys, mode, "id of a mode", "cw", "the wanted mode, from the table of modes"),
};
SECTION(es_receiver_section, "receiver", receiver);

static const es_key ground[] = {
    NODE_WANTED(es_ground_keys, elevation, "file, folder, or list of them",
                "elevation rasters; a folder is taken whole"),
    CHOICE(es_ground_keys, units, "metres|feet", 0, NULL, "unit of the elevation"),
    TEXT(es_ground_keys, crs, "the file's own", "reference system of elevation files that name none: \"EPSG:4326\""),
    TEXT(es_ground_keys, vertical_datum, "not stated", "what heights are counted from: \"EGM2008\""),
    TEXT(es_ground_keys, year, "not stated", "when the ground was measured"),
    CHOICE(es_ground_keys, surface, "bare-earth|surface-model|radar", 0, NULL,
           "what the elevation shows: the ground, the top of trees and roofs, or something between"),
    TEXT(es_ground_keys, note, "none", "your own words for the foot of a sheet"),
    NODE(es_ground_keys, canopy_height, "file, folder, or list of them", "no trees", "height of trees above ground"),
    CHOICE(es_ground_keys, canopy_units, "metres|feet", 0, NULL, "unit of the canopy height"),
    NODE(es_ground_keys, cover, "file, folder, or list of them", "no cover", "classes of ground cover, 0 to 255"),
    NODE(es_ground_keys, mask, "file, folder, or list of them", "sea where elevation is 0 or less",
         "sea mask: a raster, or polygons of land"),
    NUMBER(es_ground_keys, mask_sea_value, "", -1e6, 1e6, 0, "value that means sea in a mask raster"),
    NUMBER(es_ground_keys, fill_gap_m, "m", 0, 10000, 200, "voids up to this length are bridged and flagged"),
};
SECTION(es_ground_section, "ground", ground);

#define VALUE(key, number, unit_, low, high, help_)                                                                    \
  {                                                                                                                    \
    .name = (key), .kind = ES_KEY_NUMBER, .offset = (number) * sizeof(double), .unit = (unit_), .min = (low),          \
    .max = (high), .fallback = NAN, .absent = CLIMATE, .help = (help_)                                                 \
  }
#define CLIMATE_VALUES                                                                                                 \
  VALUE("delta_n_median", ES_DELTA_N_MEDIAN, "N/km", 0, 300,                                                           \
        "median fall of refractivity in the lowest km, positive (SdN)"),                                               \
      VALUE("delta_n_enhanced_slope", ES_DELTA_N_ENHANCED_SLOPE, "N/km", 0, 300,                                       \
            "how it grows for small percentages (SdNsup)"),                                                            \
      VALUE("delta_n_sub_slope", ES_DELTA_N_SUB_SLOPE, "N/km", 0, 300, "how it falls for large ones (SdNsub)"),        \
      VALUE("gradient_65m_1pct", ES_GRADIENT_65M_1PCT, "N/km", -3000, 100,                                             \
            "gradient in the lowest 65 m not exceeded for 1 % of the time, negative (Nd65m1)"),                        \
      VALUE("vapour_density_g_m3", ES_VAPOUR_DENSITY, "g/m3", 0, 50, "water vapour at the surface"),                   \
      VALUE("rain_6h_percent", ES_RAIN_6H, "%", 0, 100, "chance of rain within six hours (Pr6)"),                      \
      VALUE("rain_annual_mm", ES_RAIN_ANNUAL, "mm", 0, 20000, "rain in a year (Mt)"),                                  \
      VALUE("rain_convective_ratio", ES_RAIN_CONVECTIVE, "", 0, 1, "share of convective rain (betarain)"),             \
      VALUE("zero_isotherm_km", ES_ZERO_ISOTHERM, "km", -10, 10, "mean height of 0 degrees C above sea (h0)"),         \
      {.name = "tropo_climate",                                                                                        \
       .kind = ES_KEY_WHOLE,                                                                                           \
       .offset = ES_TROPO_CLIMATE * sizeof(double),                                                                    \
       .unit = "",                                                                                                     \
       .min = 0,                                                                                                       \
       .max = 6,                                                                                                       \
       .fallback = NAN,                                                                                                \
       .absent = CLIMATE,                                                                                              \
       .help = "climate zone for troposcatter, at the common volume"},                                                 \
      VALUE("delta_n", ES_DELTA_N, "N/km", 0, 156, "openings chain: fall of refractivity in the lowest km (DN)"),      \
      VALUE("n0", ES_N0, "N-units", 100, 600, "openings chain: refractivity at sea level (N0)"),                       \
      VALUE("pressure_hpa", ES_PRESSURE, "hPa", 300, 1100, "openings chain: air pressure"),                            \
      VALUE("temperature_c", ES_TEMPERATURE, "degrees C", -80, 60, "openings chain: temperature")

static const es_key climate[] = {
    CLIMATE_VALUES,
    NODE(es_weather_keys, maps, "folder", "no maps", "your own copies of the ITU maps"),
};
SECTION(es_climate_section, "climate", climate);

static const es_key climate_side[] = {CLIMATE_VALUES};
SECTION(es_climate_side_section, "climate of one side", climate_side);

static const es_key map[] = {
    NUMBER_WANTED(es_map_keys, radius_km, "km", 1, 1000, "how far the map reaches from the beacon"),
    NUMBER_ELSE(es_map_keys, cell_m, "m", 1, 10000, "must be given; grid elevation: the file's own", "side of a cell"),
    CHOICE(es_map_keys, grid, "beacon|elevation", 0, NULL,
           "cells counted from the beacon, or the cells of a projected elevation file"),
    NODE(es_map_keys, receiver, "section", "listener_defaults", "the listener that the map stands for"),
    {.name = "width_px",
     .kind = ES_KEY_WHOLE,
     .offset = offsetof(es_map_keys, width_px),
     .unit = "pixels",
     .min = 1600,
     .max = 16000,
     .fallback = 1600,
     .help = "width of the sheet, a whole multiple of 1600"},
};
SECTION(es_map_section, "map", map);

static const es_key vary[] = {
    NODE(es_vary_keys, height_m, "list of numbers, 0 to 1000, in m", "beacon.antenna.height_m",
         "heights of the beacon's antenna above ground"),
    NODE(es_vary_keys, power_dbm, "list of numbers, -60 to 90, in dBm", "beacon.power.at_amplifier_dbm",
         "powers at the amplifier"),
};
SECTION(es_vary_section, "vary", vary);

static const es_key report[] = {
    NUMBER(es_report_keys, max_mb, "MB", 1, 200, 8, "greatest size of report.html; what finds no room is left out"),
};
SECTION(es_report_section, "report", report);

static const es_key profile[] = {
    NODE_WANTED(es_profile_keys, profile, "file", "CSV of the profile"),
    NUMBER_WANTED(es_profile_keys, frequency_mhz, "MHz", 30, 100000,
                  "frequency; a model flags what lies outside its own range"),
    CHOICE(es_profile_keys, polarisation, POLARS, 0, NULL, "polarisation"),
    CHOICE(es_profile_keys, chain, CHAINS, 1, NULL, "how losses are combined"),
    CHOICE(es_profile_keys, convention, CONVENTIONS, -1, "p526, p2001, p452 for the three chains, in their order",
           "constants of the diffraction model"),
    NUMBER_ELSE(es_profile_keys, effective_earth_radius_km, "km", 1000, 1e6, "from delta_n_median",
                "effective Earth radius; diffraction chain only"),
    NODE(es_profile_keys, time_percent, "list, above 0 and below 100", "[50]", "percentages of the year"),
    NODE_WANTED(es_profile_keys, beacon, "section", "the end where the distances begin"),
    NODE_WANTED(es_profile_keys, listener, "section", "the other end"),
    NODE(es_profile_keys, climate, "section", CLIMATE, "weather at the path's centre"),
    NODE(es_profile_keys, climate_beacon_side, "section", "as climate", "the same at the beacon's side"),
    NODE(es_profile_keys, climate_listener_side, "section", "as climate", "the same at the listener's side"),
    NODE(es_profile_keys, sea_distance_km, "section", "from the profile's zones", "from each end to the sea"),
    NODE(es_profile_keys, settings, "section of sections", "the models' own",
         "settings by model: {model: {key: value}}"),
};
SECTION(es_profile_section, "", profile);

static const es_key profile_end[] = {
    NODE(es_profile_end_keys, position, PLACE, "unknown; both ends or neither", "where it stands, WGS 84"),
    NODE_WANTED(es_profile_end_keys, antenna, "section", "its antenna"),
};
SECTION(es_profile_end_section, "beacon, listener", profile_end);

static const es_key profile_antenna[] = {
    NUMBER_WANTED(es_profile_antenna_keys, height_m, "m", 0, 20000, "antenna above ground"),
    NUMBER(es_profile_antenna_keys, gain_dbi, "dBi", -100, 100, 0, "the same gain in every direction"),
};
SECTION(es_profile_antenna_section, "antenna", profile_antenna);

static const es_key sea_distance[] = {
    NUMBER_ELSE(es_sea_distance_keys, beacon, "km", 0, 20000, "from the profile's zones", "openings chain: dct"),
    NUMBER_ELSE(es_sea_distance_keys, listener, "km", 0, 20000, "from the profile's zones", "openings chain: dcr"),
};
SECTION(es_sea_distance_section, "sea_distance_km", sea_distance);

/* The k-th word of "a|b|c"; caller frees. */
static char *word_of(const char *choices, int k) {
  for (; k > 0; k--) choices = strchr(choices, '|') + 1;
  return strndup(choices, strcspn(choices, "|"));
}

static char *wanted(const es_key *key) {
  switch (key->kind) {
  case ES_KEY_NUMBER: return es_format("%.10g to %.10g", key->min, key->max);
  case ES_KEY_WHOLE: return es_format("whole number, %.10g to %.10g", key->min, key->max);
  case ES_KEY_NODE: return strdup(key->form);
  case ES_KEY_CHOICE: {
    char *words = strdup(key->choices);
    for (char *c = words; c != NULL && *c != '\0'; c++)
      if (*c == '|') *c = '/';
    return words;
  }
  case ES_KEY_TEXT:
  default: return strdup("text");
  }
}

static char *when_absent(const es_key *key) {
  if (key->required) return strdup("must be given");
  if (key->absent != NULL) return strdup(key->absent);
  if (key->kind == ES_KEY_CHOICE) return word_of(key->choices, (int)key->fallback);
  return es_format("%.10g", key->fallback);
}

char *es_key_row(const es_key *key) {
  char *want = wanted(key), *absent = when_absent(key), *row = NULL;
  if (want != NULL && absent != NULL)
    row = es_format("| `%s` | %s | %s | %s | %s |", key->name, want, key->unit != NULL ? key->unit : "", absent,
                    key->help);
  free(want);
  free(absent);
  return row;
}
