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
    NODE(es_top_keys, trees, "section", "as below", "how trees are counted"),
    NODE(es_top_keys, obstacles, "file, or list of sections", "none", "what stands near a station, as measured there"),
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
    NODE(es_top_keys, vary, "section", "nothing varies", "what to compare"),
    NODE(es_top_keys, aim, "section", "as below", "what is wanted most, for the ranking of scenarios"),
    NODE(es_top_keys, compare, "list of sections, at most 99", "the first scenario with the best",
         "pairs of scenarios to see side by side"),
    NODE(es_top_keys, spread, "section", "as below", "how far the answer may be off"),
    CHOICE(es_top_keys, help, "yes|no", 0, NULL, "work out what would help each listener most"),
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
    NODE(es_beacon_keys, keying, "section", "as below", "what it sends, for the sheet and the cards"),
    NODE(es_beacon_keys, sheet, "section", "as below", "what else its sheet says"),
};
SECTION(es_beacon_section, "beacon", beacon);

static const es_key keying[] = {
    CHOICE(es_keying_keys, kind, "on-off|shift|none", 0, NULL,
           "Morse by carrier on and off, by frequency shift, or none"),
    TEXT(es_keying_keys, message, "call and locator", "the Morse text"),
    NUMBER(es_keying_keys, wpm, "words/min", 1, 60, 12, "its speed, by the word PARIS"),
    NUMBER(es_keying_keys, shift_hz, "Hz", 0, 100000, 400, "between mark and space, with kind: shift"),
    NUMBER(es_keying_keys, digital_s, "s", 0, 3600, 0, "digital sequence at the beginning of the cycle"),
    NUMBER(es_keying_keys, carrier_s, "s", 0, 3600, 0, "plain carrier after the text"),
    NUMBER(es_keying_keys, pause_s, "s", 0, 3600, 0, "silence in the cycle"),
};
SECTION(es_keying_section, "beacon.keying", keying);

static const es_key sheet[] = {
    TEXT(es_sheet_keys, keeper, "not stated", "who keeps the beacon"),
    TEXT(es_sheet_keys, report_to, "not stated", "where reports go"),
    TEXT(es_sheet_keys, schedule, "not stated", "hours of working"),
    TEXT(es_sheet_keys, status, "not stated", "planned, on the air, off"),
    TEXT(es_sheet_keys, last_checked, "not stated", "when it was checked last"),
    TEXT(es_sheet_keys, licence, "not stated", "permit and its rules"),
    CHOICE(es_sheet_keys, reference, "none|crystal|ocxo|gps", 0, NULL, "what its frequency is held by"),
    NUMBER(es_sheet_keys, reference_mhz, "MHz", 0.1, 10000, 10, "frequency of that reference"),
    NUMBER_ELSE(es_sheet_keys, error_ppm, "ppm", 0, 1000, "20, 10, 0.1, 0.0001 by reference",
                "how far the frequency sent may be off"),
    NODE(es_sheet_keys, multiply, "list of factors, at most 8", "not stated",
         "multiplication from the oscillator: [3, 3]"),
    CHOICE(es_sheet_keys, exposure_rules, "icnirp-2020|fcc", 0, NULL, "rule set of the exposure distances"),
};
SECTION(es_sheet_section, "beacon.sheet", sheet);

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
      SHAPE_NUMBER(type, ripple_db, "dB", 0, 6, "0", "how far its gain swings about its mean, going round"),           \
      SHAPE_NODE(type, beam_deg, "[azimuth, elevation], in degrees", "half-power widths of a Gaussian beam"),          \
      SHAPE_NODE(type, sector_deg, "[azimuth, elevation], in degrees", "half-power widths of a sector antenna"),       \
      SHAPE_NUMBER(type, elevation_beam_deg, "degrees", 1, 180, "every elevation", "half-power width, with gain_dbi"), \
      SHAPE_NUMBER(type, peak_dbi, "dBi", -30, 80, "from the shape; a table's own, when in dBi", "largest gain"),      \
      SHAPE_NUMBER(type, pointing_error_deg, "degrees", -45, 45, "0", "how far beside its aim it points, clockwise")

static const es_key antenna[] = {
    TEXT(es_antenna_keys, name, "none; under vary it must be given", "its name in the scenarios"),
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
    TEXT(es_feeder_keys, name, "none; under vary it must be given", "its name in the scenarios"),
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
    NODE(es_ground_keys, cover_table, "file", "classes carry nothing", "CSV of what stands on each class"),
    CHOICE(es_ground_keys, cover_legend, "worldcover-2021|corine-2018", -1, "classes carry nothing",
           "a built-in table of classes, by the legend of the raster"),
    CHOICE(es_ground_keys, canopy_on_surface, "false|true", 0, NULL,
           "true: count trees even on a surface that may hold them already"),
    NODE(es_ground_keys, mask, "file, folder, or list of them", "sea where elevation is 0 or less",
         "sea mask: a raster, or polygons of land"),
    NUMBER(es_ground_keys, mask_sea_value, "", -1e6, 1e6, 0, "value that means sea in a mask raster"),
    NUMBER(es_ground_keys, fill_gap_m, "m", 0, 10000, 200, "voids up to this length are bridged and flagged"),
};
SECTION(es_ground_section, "ground", ground);

/* In the order of the settings of the foliage model. */
#define METHODS "p833|weissberger|cost235|fitted-itu|radiative-transfer|early-itu|slant-pine"
#define SPECIES                                                                                                        \
  "horse-chestnut|silver-maple|london-plane|common-lime|sycamore-maple|ginkgo|japanese-cherry|trident-maple|"          \
  "korean-pine|himalayan-cedar|american-plane|dawn-redwood|any"
#define LEAF_SET "the default set of the model"

static const es_key trees[] = {
    CHOICE(es_trees_keys, through, METHODS, -1, "p833", "how the loss through trees is computed"),
    CHOICE(es_trees_keys, species, SPECIES, -1, "any", "species, for radiative-transfer"),
    NUMBER_ELSE(es_trees_keys, beam_deg, "degrees", 0, 90, "from the antenna's gain",
                "beamwidth, for radiative-transfer"),
    NUMBER_ELSE(es_trees_keys, gamma_in_leaf_db_m, "dB/m", 0, 20, LEAF_SET,
                "loss of the first metres, broadleaf in leaf"),
    NUMBER_ELSE(es_trees_keys, gamma_out_of_leaf_db_m, "dB/m", 0, 20, LEAF_SET, "the same, bare broadleaf"),
    NUMBER_ELSE(es_trees_keys, gamma_conifer_db_m, "dB/m", 0, 20, LEAF_SET, "the same, conifers"),
    NUMBER_ELSE(es_trees_keys, ceiling_in_leaf_db, "dB", 0, 300, LEAF_SET, "most that broadleaf in leaf takes"),
    NUMBER_ELSE(es_trees_keys, ceiling_out_of_leaf_db, "dB", 0, 300, LEAF_SET, "the same, bare broadleaf"),
    NUMBER_ELSE(es_trees_keys, ceiling_conifer_db, "dB", 0, 300, LEAF_SET, "the same, conifers"),
    CHOICE(es_trees_keys, leaf, "broadleaf|conifer|mixed", 2, NULL, "kind of trees of a canopy raster without classes"),
    NUMBER(es_trees_keys, height_factor, "", 0, 2, 1, "factor on heights of rasters; 0.8 to 0.9 for broken tops"),
    NUMBER(es_trees_keys, growth_m_per_year, "m", 0, 5, 0, "growth of the trees of rasters"),
    NUMBER(es_trees_keys, years, "", 0, 200, 0, "years of growth to count"),
    NUMBER_ELSE(es_trees_keys, leaf_months, "months", 0, 12, "no yearly figure",
                "months in leaf: weighs in-leaf and out-of-leaf into one yearly figure"),
    NUMBER_ELSE(es_trees_keys, wind_m_s, "m/s", 0, 60, "not told", "wind for which flutter is told"),
    NUMBER_ELSE(es_trees_keys, trim_to_m, "m", 0, 100, "not told", "height to which trees are cut for the comparison"),
};
SECTION(es_trees_section, "trees", trees);

static const es_key obstacle[] = {
    {.name = "station",
     .kind = ES_KEY_TEXT,
     .required = true,
     .offset = offsetof(es_obstacle_keys, station),
     .help = "beacon, or the name of a listener"},
    NUMBER_WANTED(es_obstacle_keys, azimuth_from_deg, "degrees", -360, 720, "from this bearing, seen from the station"),
    NUMBER_WANTED(es_obstacle_keys, azimuth_to_deg, "degrees", -360, 720, "clockwise to this one"),
    NUMBER_WANTED(es_obstacle_keys, distance_m, "m", 0, 50000, "its near edge"),
    NUMBER_WANTED(es_obstacle_keys, depth_m, "m", 0.1, 50000, "how deep it is along the path"),
    NUMBER_WANTED(es_obstacle_keys, top_m, "m", 0, 1000, "its top above the ground there; 0: nothing stands there"),
    NUMBER(es_obstacle_keys, base_m, "m", 0, 1000, 0, "its base, where leaves begin"),
    NUMBER(es_obstacle_keys, density, "", 0, 1, 1, "share of it that is leaves and wood"),
    TEXT(es_obstacle_keys, kind, "tree", "tree, building or ridge"),
    TEXT(es_obstacle_keys, leaf, "mixed", "broadleaf, conifer or mixed"),
};
SECTION(es_obstacle_section, "obstacles", obstacle);

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
    NODE(es_vary_keys, season, "no-trees, in-leaf, out-of-leaf, or a list of them", "season, at the top",
         "state of the trees"),
    NODE(es_vary_keys, site, "list of sections", "beacon.position", "places for the beacon"),
    NODE(es_vary_keys, frequency_mhz, "list of numbers, 1000 to 50000, in MHz", "beacon.frequency_mhz", "frequencies"),
    NODE(es_vary_keys, polarisation, "horizontal, vertical, or a list of them", "beacon.polarisation",
         "polarisations of the beacon"),
    NODE(es_vary_keys, antenna, "list of sections, as beacon.antenna without height_m", "beacon.antenna",
         "antennas of the beacon, each with a name"),
    NODE(es_vary_keys, azimuth_deg, "list of numbers, -360 to 360, in degrees", "beacon.antenna.azimuth_deg",
         "where the beacon's antenna points"),
    NODE(es_vary_keys, tilt_deg, "list of numbers, -90 to 90, in degrees", "beacon.antenna.tilt_deg",
         "elevations of its axis"),
    NODE(es_vary_keys, feeder, "list of sections, as beacon.power.feeder", "beacon.power.feeder",
         "lines between amplifier and antenna, each with a name"),
    NODE(es_vary_keys, amplifier, "foot, antenna, or a list of them", "beacon.power.feeder.amplifier",
         "where the amplifier sits"),
    NODE(es_vary_keys, years, "list of numbers, 0 to 200", "trees.years", "years of growth of the trees"),
};
SECTION(es_vary_section, "vary", vary);

static const es_key site[] = {
    {.name = "name",
     .kind = ES_KEY_TEXT,
     .required = true,
     .offset = offsetof(es_site_keys, name),
     .help = "its name in the scenarios, and for obstacles.station"},
    NODE_WANTED(es_site_keys, position, PLACE, "where the beacon would stand"),
};
SECTION(es_site_section, "vary.site", site);

static const es_key aim[] = {
    NODE(es_aim_keys, mode, "id of a mode", "each listener's own", "the mode it should be heard by"),
    NUMBER(es_aim_keys, time_percent, "%", 0.1, 99.9, 50, "for at least this share of the year"),
    CHOICE(es_aim_keys, by, "listeners|area", 0, NULL, "what counts after the listeners of first"),
    NODE(es_aim_keys, first, "name of a listener, or a list of them", "nobody", "who comes before all others"),
};
SECTION(es_aim_section, "aim", aim);

static const es_key compare[] = {
    {.name = "from",
     .kind = ES_KEY_TEXT,
     .required = true,
     .offset = offsetof(es_compare_keys, from),
     .help = "name of a scenario"},
    {.name = "to",
     .kind = ES_KEY_TEXT,
     .required = true,
     .offset = offsetof(es_compare_keys, to),
     .help = "name of another: gained is what it has more"},
};
SECTION(es_compare_section, "compare", compare);

static const es_key spread[] = {
    NUMBER_ELSE(es_spread_keys, pattern_db, "dB", 0, 40, "1; 5 where the pattern is 6 dB or more below its peak",
                "of the antennas' gains"),
    NUMBER_ELSE(es_spread_keys, model_db, "dB", 0, 40, "from the table, by way and band", "of the computed loss"),
    NUMBER_ELSE(es_spread_keys, foliage_db, "dB", 0, 40, "8, but no more than the trees lose", "of the loss in trees"),
    NUMBER_ELSE(es_spread_keys, ear_db, "dB", 0, 40, "the mode's own spread", "of what a listener needs"),
    NUMBER_ELSE(es_spread_keys, scatter_hz, "Hz", 0, 10000, "10 at 10 GHz, in proportion to frequency",
                "width of a signal scattered in clear air"),
    NUMBER(es_spread_keys, drift_hz, "Hz", 0, 10000, 0, "drift of beacon and receiver within one look or sequence"),
};
SECTION(es_spread_section, "spread", spread);

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
