/* test_job.c - whole jobs, and each kind of fault with its line. */
#include "job/job.h"

#include "base/units.h"
#include "job/scenario.h"
#include "page.h"
#include "station/folder.h"

typedef struct fixture {
  test_folder folder;
  es_faults faults;
  es_job *job;
} fixture;

/* Every file a job here may name; rasters are not opened by the job reader. */
static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  folder_open(&f->folder);
  folder_write(&f->folder, "listeners.csv", "name,lon,lat,mode\nNess,-36.0,46.7,\nCove,-36.3,46.6,ssb\n");
  folder_write(&f->folder, "my-modes.csv", "id,snr_2500_db,name\nslow,-33,Very slow Morse\n");
  folder_write(&f->folder, "slotted-guide.csv",
               "cut,angle_deg,gain_db\nelevation,-90,-30\nelevation,-10,-12\nelevation,0,0\nelevation,10,-12\n"
               "elevation,90,-30\n");
  static const char *const rasters[] = {"island.tif", "far-island.tif", "canopy.tif", "cover.tif", "sea.tif"};
  for (size_t i = 0; i < sizeof rasters / sizeof *rasters; i++) folder_write(&f->folder, rasters[i], "stand-in");
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  es_job_close(f->job);
  es_faults_free(&f->faults);
  folder_close(&f->folder);
  free(f);
  return 0;
}

static bool read_job(fixture *f, const char *text) {
  es_job_close(f->job);
  es_faults_free(&f->faults);
  f->job = es_job_open(folder_write(&f->folder, "job.yaml", text), &f->faults);
  return f->job != NULL;
}

static void expect_good(fixture *f, const char *text) {
  if (read_job(f, text)) return;
  faults_print(&f->faults);
  fail_msg("a good job was refused");
}

/* The page's own example is a good job, and comes out as it is written there. */
static void of_the_page(void **state) {
  fixture *f = *state;
  char *example = page_example("docs/job-file.md");
  expect_good(f, example);
  free(example);
  const es_job *j = f->job;
  assert_int_equal(f->faults.n, 0);
  assert_string_equal(j->beacon.name, "Skarn Head");
  assert_string_equal(j->beacon.call, "Q0SKN");
  assert_near(j->beacon.at.lon_deg, -36.1234, 1e-12);
  assert_near(j->beacon.at.lat_deg, 46.5678, 1e-12);
  assert_near(j->beacon.freq_ghz, 10.368875, 1e-12);
  assert_int_equal(j->beacon.polarisation, ES_HORIZONTAL);
  assert_int_equal(j->beacon.antenna.shape, ES_SHAPE_TABLE);
  assert_near(j->beacon.antenna.peak_dbi, 10.0, 0.0);
  assert_near(j->beacon.height_m, 18.0, 0.0);
  assert_near(j->beacon.power_dbm, 27.0, 0.0);
  assert_near(j->beacon.feeder_db, 0.3, 1e-12);
  assert_int_equal(j->listeners.n, 2);
  assert_string_equal(j->listeners.items[0].rx.mode, "cw");
  assert_near(j->listeners.items[0].rx.antenna.peak_dbi, es_dish_gain_dbi(0.6, 0.55, 10.368875), 1e-9);
  assert_non_null(es_mode_find(&j->modes, "slow"));
  assert_int_equal(j->ground.n_elevation, 2);
  assert_non_null(strstr(j->ground.elevation[1], "/far-island.tif")); /* beside the job file */
  assert_int_equal(j->ground.n_mask, 1);
  assert_near(j->ground.elevation_scale, 1.0, 0.0);
  assert_string_equal(j->vertical_datum, "EGM2008");
  assert_string_equal(j->elevation_year, "2021");
  assert_near(j->climate.value[0][ES_DELTA_N_MEDIAN], 40.0, 0.0);
  assert_true(isnan(j->climate.value[0][ES_RAIN_ANNUAL])); /* not given is not zero */
  assert_true(isnan(j->climate.value[1][ES_DELTA_N_MEDIAN]));
  assert_int_equal(j->n_time_percent, 6);
  assert_near(j->time_percent[0], 0.1, 1e-12);
  assert_int_equal(j->chain, ES_CHAIN_WHOLE_YEAR);
  assert_int_equal(j->convention, -1);
  assert_int_equal(j->n_settings, 1);
  assert_string_equal(j->settings[0].model, "diffraction");
  assert_string_equal(j->settings[0].key, "convention");
  assert_string_equal(j->settings[0].value, "p2001");
  assert_true(j->map.wanted);
  assert_near(j->map.radius_km, 150.0, 0.0);
  assert_near(j->map.receiver.antenna.dish_m, 0.9, 0.0);
  assert_near(j->map.receiver.feeder_db, 0.3, 1e-12); /* from listener_defaults */
  assert_true(j->map.receiver.antenna.tracks);
  assert_int_equal(j->map.width_px, 1600);
  assert_int_equal(j->n_scenarios, 12);
}

static const char SHORT[] = "beacon:\n"
                            "  name: Skarn Head\n"
                            "  position: HN16wn56ab\n"
                            "  frequency_mhz: 10368\n"
                            "  antenna: {gain_dbi: 10, height_m: 18}\n"
                            "  power: {at_amplifier_dbm: 27}\n"
                            "ground: {elevation: island.tif, vertical_datum: EGM2008}\n"
                            "map: {radius_km: 50, cell_m: 500}\n";

static void shortest(void **state) {
  fixture *f = *state;
  expect_good(f, SHORT);
  const es_job *j = f->job;
  assert_int_equal(f->faults.n, 0);
  assert_int_equal(j->n_time_percent, 1);
  assert_near(j->time_percent[0], 50.0, 0.0);
  assert_null(j->listeners_path);
  assert_null(j->models);
  assert_near(j->ground.fill_gap_m, 200.0, 0.0);
  assert_near(j->map.receiver.height_m, 10.0, 0.0);
  assert_near(j->map.receiver.noise_figure_db, 1.0, 0.0);
  assert_near(j->map.receiver.antenna.peak_dbi, 33.687, 5e-4); /* 0.6 m, efficiency 0.55, 10.368 GHz */
  assert_true(isnan(j->map.receiver.antenna_k));
  assert_true(isnan(j->earth_radius_km));
  assert_int_equal(j->n_scenarios, 1);
  assert_string_equal(j->scenarios[0].name, "18m-27dbm");
  assert_int_equal(j->scenarios[0].season, ES_NO_TREES);
}

/* SHORT with one line more, and the fault that must come of it at that line (9). */
static void one_fault_each(void **state) {
  fixture *f = *state;
  static const struct {
    const char *line, *words;
  } cases[] = {
      {"seeson: in-leaf", "seeson=in-leaf: unknown key, did you mean season?"},
      {"wombat: 3", "wombat=3: unknown key: see"},
      {"ground: {}", "repeated key, want it once"},
      {"season: autumn", "season=autumn: want no-trees, in-leaf or out-of-leaf"},
      {"season: [in-leaf, in-leaf]", "season=in-leaf: there twice"},
      {"season: []", "want at least one"},
      {"time_percent: [10, 5]", "want increasing percentages, 10 stands before 5"},
      {"time_percent: [0, 5]", "time_percent=0: want numbers above 0 and below 100"},
      {"time_percent: [1, 100]", "time_percent=100"},
      {"time_percent: [1, nan]", "time_percent=nan"},
      {"time_percent: {a: 1}", "time_percent={...}"},
      {"time_percent:", "time_percent=: want numbers"},
      {"chain: sometimes", "chain=sometimes: want diffraction, whole-year or openings"},
      {"chain: [openings]", "chain=[...]: want diffraction"},
      {"convention: p999", "convention=p999: want p526, p2001 or p452"},
      {"effective_earth_radius_km: inf", "effective_earth_radius_km=inf: want a number from 1000 to 1000000 km"},
      {"effective_earth_radius_km: 12", "effective_earth_radius_km=12"},
      {"effective_earth_radius_km: 8500 km", "effective_earth_radius_km=8500 km"},
      {"models: free-space", "models=free-space: want a list"},
      {"models: [gases, gases]", "models=gases: named twice"},
      {"models: [{a: b}]", "models={...}: want text"},
      {"settings: {gases: p676}", "gases=p676: want the settings of a model"},
      {"settings: {gases: {form: [1]}}", "form=[...]: want a setting of gases"},
      {"settings: {gases: {form: 1, form: 2}}", "repeated setting of gases"},
      {"settings: [1]", "settings=[...]: want {model: {key: value}}"},
      {"modes: nowhere.csv", "modes=nowhere.csv: want a file that can be read: there is none at"},
      {"modes: .", "modes=.: want a file that can be read: that is a folder"},
      {"modes: []", "modes=[...]: want the name of a file"},
      {"listeners: nowhere.gpkg", "listeners=nowhere.gpkg: want a file"},
      {"listener_defaults: {noise_figure_db: -1}", "noise_figure_db=-1: want a number from 0 to 30 dB"},
      {"listener_defaults: {gain_dbi: 3, dish_m: 1}", "want gain_dbi or dish_m, not both"},
      {"listener_defaults: {mode: cv}", "mode=cv: unknown mode, did you mean cw?"},
      {"listener_defaults: 10", "receiver=10: want keys and values"},
      {"climate: {maps: listeners.csv}", "maps=listeners.csv: want a folder that can be read: that is no folder"},
      {"climate: {delta_n_median: -40}", "delta_n_median=-40: want a number from 0 to 300 N/km"},
      {"climate: {tropo_climate: 2.5}", "tropo_climate=2.5: want a whole number from 0 to 6"},
      {"climate: {delta_n_meadian: 40}", "unknown key of climate, did you mean delta_n_median?"},
      {"climate_beacon_side: {maps: .}", "maps=.: unknown key of climate of one side"},
      {"vary: {height_m: [10, x]}", "height_m=x: want numbers from 0 to 1000"},
      {"vary: {height_m: []}", "height_m=[...]: want at least one number"},
      {"vary: {power_dbm: [27, 27.0]}", "27 is there twice"},
      {"vary: {heights: [10]}", "unknown key of vary"},
      {"vary: {azimuth_deg: [10, 10.0]}", "az10 is there twice"},
      {"vary: {tilt_deg: [-91]}", "tilt_deg=-91: want numbers from -90 to 90"},
      {"vary: {polarisation: [horizontal, slant]}", "polarisation=slant: want horizontal or vertical"},
      {"vary: {site: [hill]}", "site=hill: want a name of 1 to 24 letters and digits"},
      {"vary: {site: {name: Hill, position: [-36, 46]}}", "site={...}: want a list of sections, each with a name"},
      {"vary: {site: [{name: Hill}]}", "vary.site: position is missing"},
      {"vary: {antenna: [{name: dish, dish_m: 0.6}]}", "azimuth_deg is missing: want where the dish points"},
      {"vary: {antenna: [{name: a, gain_dbi: 3, height_m: 10}]}", "want heights in beacon.antenna or vary.height_m"},
      {"vary: {antenna: [{name: One, gain_dbi: 3}, {name: one, gain_dbi: 5}]}", "one is there twice"},
      {"vary: {feeder: [{name: long, line: foam-coax-10mm}]}", "length_m is missing"},
      {"vary: {years: [0, 5]}", "want trees.growth_m_per_year"},
      {"aim: {mode: cv}", "mode=cv: unknown mode, want one of the table of modes"},
      {"aim: {by: weight}", "by=weight: want listeners or area"},
      {"aim: {time_percent: 100}", "time_percent=100: want a number from 0.1 to 99.9"},
      {"aim: {first: Ness}", "first=Ness: no listener has that name"},
      {"compare: {from: a, to: b}", "compare={...}: want a list of 1 to 99 sections {from: scenario, to: scenario}"},
      {"compare: []", "want a list of 1 to 99 sections"},
      {"compare: [{from: 18m-27dbm}]", "compare: to is missing"},
      {"compare: [{from: 18m-27dbm, to: 18m-27dbm}]", "to=18m-27dbm: want another scenario than from"},
      {"compare: [{from: 18m-27dbm, to: 18m-28dbm}]", "no scenario has that name, did you mean 18m-27dbm?"},
      {"compare: [{from: nothing, to: 18m-27dbm}]", "from=nothing: no scenario has that name, the first is 18m-27dbm"},
      {"vary: {height_m: [1, 2, 3, 4, 5, 6, 7, 8], power_dbm: [1, 2, 3, 4, 5, 6, 7, 8], tilt_deg: [1, 2, 3, 4, 5, 6, "
       "7, "
       "8]}",
       "every combination is a scenario, and these are 512: want at most 500"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    char *text = es_format("%s%s\n", SHORT, cases[i].line);
    assert_false(read_job(f, text));
    assert_fault(&f->faults, 9, cases[i].words);
    if (f->faults.n_faults != 1) faults_print(&f->faults);
    assert_int_equal(f->faults.n_faults, 1);
    free(text);
  }
}

/* SHORT with listeners and with further lines. */
static bool read_more(fixture *f, const char *lines) {
  char *text = es_format("%slisteners: listeners.csv\n%s", SHORT, lines);
  assert_non_null(text);
  bool ok = read_job(f, text);
  free(text);
  return ok;
}

static void aim_and_pairs(void **state) {
  fixture *f = *state;
  assert_true(read_more(f, ""));
  assert_string_equal(f->job->aim.mode, "");
  assert_int_equal(f->job->aim.by, ES_AIM_LISTENERS);
  assert_near(f->job->aim.time_percent, 50.0, 0.0);
  assert_int_equal(f->job->aim.n_first, 0);
  assert_int_equal(f->job->n_pairs, 0);

  assert_true(read_more(f, "aim: {mode: ssb, time_percent: 90, by: area, first: [Cove, Ness]}\n"
                           "vary: {height_m: [12, 18]}\n"
                           "compare: [{from: 12m-27dbm, to: 18m-27dbm}, {from: 18m-27dbm, to: 12m-27dbm}]\n"));
  const es_job *j = f->job;
  assert_string_equal(j->aim.mode, "ssb");
  assert_int_equal(j->aim.by, ES_AIM_AREA);
  assert_near(j->aim.time_percent, 90.0, 0.0);
  assert_int_equal(j->aim.n_first, 2);
  assert_string_equal(j->listeners.items[j->aim.first[0]].name, "Cove");
  assert_string_equal(j->listeners.items[j->aim.first[1]].name, "Ness");
  assert_int_equal(j->n_pairs, 2);
  assert_string_equal(j->scenarios[j->pairs[0].from].name, "12m-27dbm");
  assert_string_equal(j->scenarios[j->pairs[0].to].name, "18m-27dbm");
  assert_string_equal(j->scenarios[j->pairs[1].from].name, "18m-27dbm");
  assert_string_equal(j->scenarios[j->pairs[1].to].name, "12m-27dbm");

  assert_true(read_more(f, "aim: {first: Ness}\n"));
  assert_int_equal(f->job->aim.n_first, 1);
  assert_string_equal(f->job->listeners.items[f->job->aim.first[0]].name, "Ness");
}

static void aims_that_cannot_be(void **state) {
  fixture *f = *state;
  assert_false(read_more(f, "aim: {first: Nes}\n"));
  assert_fault(&f->faults, 10, "first=Nes: no listener has that name, did you mean Ness?");
  assert_false(read_more(f, "aim: {first: [Ness, Cove, Ness]}\n"));
  assert_fault(&f->faults, 10, "first=Ness: Ness is there twice, want it once");
  assert_false(read_more(f, "chain: openings\naim: {time_percent: 60}\n"));
  assert_fault(&f->faults, 11, "the openings chain answers for 50 % of the time at most");
  char *text = es_format("%slisteners: listeners.csv\naim: {by: area}\n", SHORT), *map = strstr(text, "map:");
  assert_non_null(map);
  memset(map, '#', 4); /* the map's line becomes a comment */
  assert_false(read_job(f, text));
  assert_fault(&f->faults, 10, "aim: by: area wants a map");
  free(text);
}

/* One line of SHORT replaced, and the fault at that line. */
static void one_line_changed(void **state) {
  fixture *f = *state;
  static const struct {
    long number;
    const char *line, *words;
  } cases[] = {
      {2, "  nam: Skarn Head", "nam=Skarn Head: unknown key of beacon, did you mean name?"},
      {2, "  name:", "name=: want text"},
      {3, "  position: HN16", "position=HN16: want [longitude, latitude]"},
      {3, "  position: [46.5]", "position=[...]: want [longitude, latitude]"},
      {3, "  position: [-36, 146]", "latitude=146: want a number from -90 to 90 degrees"},
      {3, "  position: [12a, 46]", "longitude=12a"},
      {3, "  position: nowhere", "position=nowhere"},
      {4, "  frequency_mhz: 10.368", "frequency_mhz=10.368: want a number from 1000 to 50000 MHz"},
      {4, "  frequency_mhz: [1, 2]", "frequency_mhz=[...]: want a number"},
      {4, "  frequency_mhz: NaN", "frequency_mhz=NaN"},
      {5, "  antenna: {height_m: 18}",
       "want one of gain_dbi, dish_m, horn_mm, slots, beam_deg, sector_deg and pattern, found 0"},
      {5, "  antenna: {gain_dbi: 1, dish_m: 1, azimuth_deg: 1, height_m: 18}", "found 2"},
      {5, "  antenna: {dish_m: 1, height_m: 18}", "azimuth_deg is missing"},
      {5, "  antenna: {gain_dbi: 1, efficiency: 0.5, height_m: 18}", "efficiency=0.5: want it with dish_m only"},
      {5, "  antenna: {gain_dbi: 1, peak_dbi: 5, height_m: 18}", "peak_dbi=5: gain_dbi is the peak already"},
      {5, "  antenna: {pattern: slotted-guide.csv, height_m: 18}", "want peak_dbi beside it"},
      {5, "  antenna: {pattern: nowhere.csv, height_m: 18}", "pattern=nowhere.csv: want a file"},
      {5, "  antenna: {gain_dbi: 10, height_m: -1}", "height_m=-1: want a number from 0 to 1000 m"},
      {7, "ground: {elevation: nowhere.tif}", "elevation=nowhere.tif: want a file or a folder"},
      {7, "ground: {elevation: [island.tif, 7.tif]}", "elevation=7.tif"},
      {7, "ground: {elevation: []}", "elevation=[...]: want at least one file"},
      {7, "ground: {units: feet}", "ground: elevation is missing: want file, folder, or list of them"},
      {7, "ground: {elevation: island.tif, units: yards}", "units=yards: want metres or feet"},
      {7, "ground: {elevation: island.tif, surface: soft}", "want bare-earth, surface-model or radar"},
      {7, "ground:", "ground: elevation is missing"},
      {8, "map: {cell_m: 500}", "map: radius_km is missing: want 1 to 1000 km"},
      {8, "map: {radius_km: 50}", "map: cell_m is missing"},
      {8, "map: {radius_km: 0, cell_m: 500}", "radius_km=0: want a number from 1 to 1000 km"},
      {8, "map: {radius_km: 50, cell_m: 500, width_px: 1700}", "width_px=1700: want 1600 or a whole multiple"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    const char *from = SHORT, *rest;
    for (long k = 1; k < cases[i].number; k++) from = strchr(from, '\n') + 1;
    rest = strchr(from, '\n');
    char *text = es_format("%.*s%s%s", (int)(from - SHORT), SHORT, cases[i].line, rest);
    assert_false(read_job(f, text));
    assert_fault(&f->faults, cases[i].number, cases[i].words);
    free(text);
  }
}

static void all_together(void **state) {
  fixture *f = *state;
  folder_write(&f->folder, "listeners.csv", "name,lon,lat\nNess,12x,46\n");
  assert_false(read_job(f, "beacon:\n"
                           "  position: [-36, 46]\n"
                           "  frequency_mhz: 0\n"
                           "  antenna: {gain_dbi: ten}\n"
                           "listeners: listeners.csv\n"
                           "ground: {elevation: no.tif}\n"
                           "chian: openings\n"));
  assert_fault(&f->faults, 2, "beacon: name is missing");
  assert_fault(&f->faults, 2, "beacon.antenna: height_m is missing");
  assert_fault(&f->faults, 2, "beacon.power: at_amplifier_dbm is missing");
  assert_fault(&f->faults, 3, "frequency_mhz=0");
  assert_fault(&f->faults, 4, "gain_dbi=ten");
  assert_fault(&f->faults, 6, "elevation=no.tif");
  assert_fault(&f->faults, 7, "chian=openings: unknown key, did you mean chain?");
  assert_fault(&f->faults, 2, "lon=12x");  /* in the list, line 2 */
  assert_int_equal(f->faults.n_faults, 8); /* and nothing told twice in other words */
}

static void empty_jobs(void **state) {
  fixture *f = *state;
  assert_false(read_job(f, "season: in-leaf\n"));
  assert_fault(&f->faults, 1, "the file: beacon is missing: want section");
  assert_fault(&f->faults, 1, "the file: ground is missing: want section");
  assert_fault(&f->faults, 1, "nothing to answer: want listeners, or map");
  assert_false(read_job(f, "- a list\n"));
  assert_fault(&f->faults, 1, "file=[...]: want keys and values");
}

static void notes(void **state) {
  fixture *f = *state;
  expect_good(f,
              "beacon:\n  name: a\n  position: HN16wn\n  frequency_mhz: 10368\n"
              "  antenna: {dish_m: 0.5, azimuth_deg: 90, tilt_deg: 1, height_m: 18}\n  power: {at_amplifier_dbm: 27}\n"
              "ground: {elevation: ., units: feet}\nmap: {radius_km: 50, grid: elevation}\n"
              "effective_earth_radius_km: 8500\nconvention: p452\n");
  assert_int_equal(f->faults.n_faults, 0);
  assert_fault(&f->faults, 3, "a 6-character locator stands for the position");
  assert_fault(&f->faults, 7, "vertical_datum is not stated");
  assert_fault(&f->faults, 0, "effective_earth_radius_km=8500 is not used");
  assert_near(f->job->ground.elevation_scale, 0.3048, 0.0);
  assert_int_equal(f->job->convention, 2);
  assert_int_equal(f->job->map.grid, ES_GRID_ELEVATION);
  assert_near(f->job->beacon.antenna.azimuth, ES_PI / 2.0, 1e-12);
  assert_near(f->job->beacon.antenna.tilt, es_rad(1.0), 1e-12);
  assert_false(f->job->beacon.antenna.tracks);
}

/* Trees counted twice, tables without a raster, stations that nobody knows. */
static void trees_and_obstacles(void **state) {
  fixture *f = *state;
  static const char head[] = "beacon: {name: a, position: HN16wn56ab, frequency_mhz: 10368, antenna: {gain_dbi: 0, "
                             "height_m: 9}, power: {at_amplifier_dbm: 27}}\nlisteners: listeners.csv\n";
  static const struct {
    const char *text;
    long line;
    const char *fault; /* NULL: a good job */
  } rows[] = {
      {"ground: {elevation: ., canopy_height: canopy.tif, surface: surface-model, vertical_datum: x}\n", 3,
       "surface: surface-model holds trees already"},
      {"ground: {elevation: ., cover: cover.tif, cover_legend: corine-2018, surface: radar, vertical_datum: x}\n", 3,
       "would count them twice"},
      {"ground: {elevation: ., canopy_height: canopy.tif, surface: radar, canopy_on_surface: true}\n", 0, NULL},
      {"ground: {elevation: ., cover_legend: worldcover-2021}\n", 3, "a table of cover classes without cover"},
      {"ground: {elevation: .}\nobstacles: [{station: Nes, azimuth_from_deg: 1, azimuth_to_deg: 2, distance_m: 3, "
       "depth_m: 4, top_m: 5}]\n",
       4, "station=Nes: no listener has that name, did you mean Ness?"},
      {"ground: {elevation: .}\nobstacles: [{station: Ness, azimuth_from_deg: 1, azimuth_to_deg: 2, distance_m: 3, "
       "depth_m: 4, top_m: 5, base_m: 6}]\n",
       4, "base_m=6 is above top_m=5"},
      {"ground: {elevation: .}\ntrees: {gamma_in_leaf_db_m: 2}\nsettings: {foliage: {gamma_in_leaf_db_m: 3}}\n", 4,
       "given under settings: foliage as well"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    char *text = es_format("%s%s", head, rows[i].text);
    if (rows[i].fault == NULL) {
      expect_good(f, text);
    } else {
      assert_false(read_job(f, text));
      assert_fault(&f->faults, rows[i].line, rows[i].fault);
    }
    free(text);
  }
}

/* A listener that counted twice would outweigh the others. */
static void aims_at_each_listener_once(void **state) {
  fixture *f = *state;
  static const char head[] = "beacon: {name: a, position: HN16wn56ab, frequency_mhz: 10368, antenna: {gain_dbi: 0, "
                             "height_m: 9}, power: {at_amplifier_dbm: 27}}\nlisteners: listeners.csv\n"
                             "ground: {elevation: .}\n";
  char *text = es_format("%saim: {first: [Ness]}\n", head);
  expect_good(f, text);
  assert_int_equal(f->job->aim.n_first, 1);
  free(text);
  text = es_format("%saim: {first: [Ness, Ness]}\n", head);
  assert_false(read_job(f, text));
  assert_fault(&f->faults, 4, "Ness is there twice, want it once");
  free(text);
}

/* What the model is told goes with the other settings. */
static void trees_tell_the_model(void **state) {
  fixture *f = *state;
  char *text = es_format("%strees: {through: cost235, ceiling_conifer_db: 50, leaf_months: 5}\n", SHORT);
  expect_good(f, text);
  free(text);
  assert_int_equal(f->job->n_settings, 2);
  assert_string_equal(f->job->settings[0].key, "ceiling_conifer_db");
  assert_string_equal(f->job->settings[0].value, "50");
  assert_string_equal(f->job->settings[1].model, "foliage");
  assert_string_equal(f->job->settings[1].value, "cost235");
  assert_near(f->job->trees.leaf_months, 5.0, 0.0);
  assert_near(f->job->trees.height_factor, 1.0, 0.0);
}

static void scenarios(void **state) {
  fixture *f = *state;
  char *text = es_format("%svary: {height_m: [12.5, 18], power_dbm: [-3, 27]}\nseason: [in-leaf, no-trees]\n", SHORT);
  expect_good(f, text);
  free(text);
  static const char *const names[] = {"12.5m-minus3dbm-in-leaf", "12.5m-minus3dbm-no-trees", "12.5m-27dbm-in-leaf",
                                      "12.5m-27dbm-no-trees",    "18m-minus3dbm-in-leaf",    "18m-minus3dbm-no-trees",
                                      "18m-27dbm-in-leaf",       "18m-27dbm-no-trees"};
  assert_int_equal(f->job->n_scenarios, 8);
  for (size_t i = 0; i < 8; i++) assert_string_equal(f->job->scenarios[i].name, names[i]);
  assert_near(f->job->scenarios[6].height_m, 18.0, 0.0);
  assert_near(f->job->scenarios[6].power_dbm, 27.0, 0.0);
  assert_int_equal(f->job->scenarios[6].season, ES_IN_LEAF);
}

/* All axes, two values each where that stays below the limit: names, order, and what each variant holds. */
static void variants(void **state) {
  fixture *f = *state;
  char *text = es_format("%strees: {growth_m_per_year: 0.5}\nlisteners: listeners.csv\nvary:\n"
                         "  site: [{name: North Hill, position: [-36, 46.6]}, {name: B, position: [-36.1, 46.5]}]\n"
                         "  frequency_mhz: [10368, 5760]\n  polarisation: [vertical]\n"
                         "  antenna: [{name: Big dish, dish_m: 0.9}, {name: omni, gain_dbi: 7}]\n"
                         "  azimuth_deg: [40]\n  tilt_deg: [-1.5]\n"
                         "  feeder: [{name: coax, line: foam-coax-10mm, length_m: 15}]\n"
                         "  amplifier: [foot, antenna]\n  years: [5]\n  season: [in-leaf, out-of-leaf]\n",
                         SHORT);
  expect_good(f, text);
  free(text);
  const es_job *j = f->job;
  assert_int_equal(j->n_variants, 16);
  assert_int_equal(j->n_scenarios, 32);
  assert_string_equal(
      j->scenarios[0].name,
      "north-hill-10368mhz-vertical-big-dish-az40-tiltminus1.5-coax-amp-at-foot-5years-18m-27dbm-in-leaf");
  assert_string_equal(j->scenarios[31].name,
                      "b-5760mhz-vertical-omni-az40-tiltminus1.5-coax-amp-at-antenna-5years-18m-27dbm-out-of-leaf");
  const es_job *first = es_job_in(j, 0), *last = es_job_in(j, 31), *mast = es_job_in(j, 2), *low = es_job_in(j, 8);
  assert_ptr_equal(first, j);
  assert_near(first->beacon.at.lat_deg, 46.6, 1e-12);
  assert_string_equal(first->beacon.site, "North Hill");
  assert_int_equal(first->beacon.polarisation, ES_VERTICAL);
  assert_near(first->beacon.antenna.azimuth, es_rad(40.0), 1e-12);
  assert_near(first->beacon.antenna.tilt, es_rad(-1.5), 1e-12);
  assert_near(first->beacon.antenna.peak_dbi, es_dish_gain_dbi(0.9, 0.55, 10.368), 1e-9);
  assert_near(first->trees.growth_m, 2.5, 1e-12);
  assert_near(mast->beacon.feeder_db, 0.0, 1e-12); /* the amplifier at the antenna: no line */
  assert_true(first->beacon.feeder_db > 5.0);
  assert_int_equal(mast->beam, first->beam); /* the same losses */
  assert_int_not_equal(low->beam, first->beam);
  assert_near(low->beacon.freq_ghz, 5.760, 1e-12);
  assert_near(low->listeners.items[0].rx.antenna.peak_dbi, es_dish_gain_dbi(0.6, 0.55, 5.760), 1e-9);
  assert_near(last->beacon.antenna.peak_dbi, 7.0, 1e-12);
  assert_int_not_equal(last->site, first->site);
  assert_ptr_equal(last->scenarios, j->scenarios);
}

/* A power that is stated as radiated would hide what an antenna or a line does. */
static void radiated_power_hides_antennas(void **state) {
  fixture *f = *state;
  char *text = es_format("%s", SHORT), *at = strstr(text, "at_amplifier_dbm: 27}");
  memcpy(at, "        eirp_dbm: 27}", 21);
  char *job = es_format("%svary: {antenna: [{name: a, gain_dbi: 3}, {name: b, gain_dbi: 6}]}\n", text);
  assert_false(read_job(f, job));
  assert_fault(&f->faults, 6, "hold the radiated power fast");
  free(job);
  free(text);
}

static void an_amplifier_wants_a_line(void **state) {
  fixture *f = *state;
  char *job = es_format("%svary: {amplifier: [foot, antenna]}\n", SHORT);
  assert_false(read_job(f, job));
  assert_fault(&f->faults, 6, "want beacon.power.feeder or vary.feeder");
  free(job);
}

/* Trees measured at one of several places must say at which. */
static void obstacles_of_sites(void **state) {
  fixture *f = *state;
  static const char form[] = "%svary: {site: [{name: North Hill, position: [-36, 46.6]}, {name: B, position: [-36.1, "
                             "46.5]}]}\nobstacles: [{station: %s, azimuth_from_deg: 0, azimuth_to_deg: 90, distance_m: "
                             "20, depth_m: 5, top_m: 9}]\n";
  char *vague = es_format(form, SHORT, "beacon"), *good = es_format(form, SHORT, "North Hill");
  assert_false(read_job(f, vague));
  assert_fault(&f->faults, 10, "station=beacon: the job compares 2 sites: want the name of one");
  expect_good(f, good);
  free(vague);
  free(good);
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(of_the_page),
                                     EACH(shortest),
                                     EACH(one_fault_each),
                                     EACH(aim_and_pairs),
                                     EACH(aims_that_cannot_be),
                                     EACH(one_line_changed),
                                     EACH(all_together),
                                     EACH(empty_jobs),
                                     EACH(notes),
                                     EACH(scenarios),
                                     EACH(trees_and_obstacles),
                                     EACH(aims_at_each_listener_once),
                                     EACH(trees_tell_the_model),
                                     EACH(variants),
                                     EACH(radiated_power_hides_antennas),
                                     EACH(obstacles_of_sites),
                                     EACH(an_amplifier_wants_a_line)};
  return cmocka_run_group_tests_name("job", tests, NULL, NULL);
}
