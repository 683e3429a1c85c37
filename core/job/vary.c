#include "job/vary.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

enum { LONGEST_NAME = 24 };

/* --- values of one axis -------------------------------------------------------------------------------------------- */

static bool axis_room(const es_reader *reader, es_axis *axis, size_t n) {
  axis->number = malloc((n + 1) * sizeof *axis->number);
  axis->node = calloc(n + 1, sizeof *axis->node);
  axis->label = calloc(n + 1, sizeof *axis->label);
  if (axis->number != NULL && axis->node != NULL && axis->label != NULL) return true;
  es_fault_memory(reader->faults, reader->file);
  return false;
}

/* Takes the label over. Two values that would have one name are a fault. */
static void axis_add(const es_reader *reader, const char *key, es_axis *axis, double number, es_node node,
                     char *label) {
  for (size_t i = 0; label != NULL && i < axis->n; i++)
    if (strcmp(axis->label[i], label) == 0) es_read_fault(reader, key, node, "%s is there twice, want it once", label);
  if (label == NULL) {
    es_fault_memory(reader->faults, reader->file);
    return;
  }
  axis->number[axis->n] = number;
  axis->node[axis->n] = node;
  axis->label[axis->n++] = label;
}

/* Numbers; minus is written "minus", as a hyphen parts the words of a name. */
static void read_numbers(const es_reader *reader, const char *key, es_node node, double min, double max,
                         const char *before, const char *unit, es_axis *axis) {
  if (node == ES_NO_NODE) return;
  size_t n;
  double *values = es_read_numbers(reader, key, node, min, max, false, &n);
  bool list = es_tree_kind(reader->tree, node) == ES_NODE_LIST;
  bool room = values != NULL && axis_room(reader, axis, n);
  for (size_t i = 0; room && i < n; i++)
    axis_add(reader, key, axis, values[i], list ? es_tree_item(reader->tree, node, i) : node,
             es_format("%s%s%.9g%s", before, values[i] < 0.0 ? "minus" : "", fabs(values[i]), unit));
  free(values);
}

/* Words of "a|b"; the label is the word with something before it. */
static void read_words(const es_reader *reader, const char *key, es_node node, const char *choices, const char *before,
                       es_axis *axis) {
  if (node == ES_NO_NODE) return;
  bool list = es_tree_kind(reader->tree, node) == ES_NODE_LIST;
  size_t n = list ? es_tree_count(reader->tree, node) : 1;
  if (n == 0) es_read_fault(reader, key, node, "want at least one");
  if (!axis_room(reader, axis, n)) return;
  for (size_t i = 0; i < n; i++) {
    es_node item = list ? es_tree_item(reader->tree, node, i) : node;
    int32_t choice = es_read_choice(reader, key, item, choices);
    if (choice >= 0)
      axis_add(reader, key, axis, choice, item, es_format("%s%s", before, es_tree_text(reader->tree, item)));
  }
}

/* "North Hill" as part of a file name: north-hill. Letters beyond ASCII are passed over. */
static char *slug_of(const char *name) {
  char *slug = calloc(strlen(name) + 1, 1);
  size_t n = 0;
  for (const char *c = name; slug != NULL && *c != '\0'; c++) {
    unsigned char byte = (unsigned char)*c;
    if (byte < 0x80 && isalnum(byte))
      slug[n++] = (char)tolower(byte);
    else if (*c == '.' && n > 0)
      slug[n++] = '.';
    else if (byte < 0x80 && n > 0 && slug[n - 1] != '-')
      slug[n++] = '-';
  }
  while (slug != NULL && n > 0 && (slug[n - 1] == '-' || slug[n - 1] == '.')) slug[--n] = '\0';
  return slug;
}

/* Sections, each with a name. */
static void read_named(const es_reader *reader, const char *key, es_node node, es_axis *axis) {
  if (node == ES_NO_NODE) return;
  bool list = es_tree_kind(reader->tree, node) == ES_NODE_LIST;
  size_t n = list ? es_tree_count(reader->tree, node) : 0;
  if (n == 0) {
    es_read_fault(reader, key, node, "want a list of sections, each with a name");
    return;
  }
  if (!axis_room(reader, axis, n)) return;
  for (size_t i = 0; i < n; i++) {
    es_node item = es_tree_item(reader->tree, node, i), name = es_read_child(reader, item, "name");
    char *slug = slug_of(es_tree_text(reader->tree, name));
    if (slug != NULL && (slug[0] == '\0' || strlen(slug) > LONGEST_NAME)) {
      es_read_fault(reader, key, item, "want a name of 1 to %d letters and digits, for the scenarios", LONGEST_NAME);
      free(slug);
      continue;
    }
    axis_add(reader, key, axis, NAN, item, slug);
  }
}

/* --- the section --------------------------------------------------------------------------------------------------- */

void es_vary_read(const es_reader *reader, es_node node, es_vary *out) {
  es_vary_keys keys;
  *out = (es_vary){0};
  es_read_section(reader, node, &es_vary_section, &keys);
  out->height_m = keys.height_m;
  out->power_dbm = keys.power_dbm;
  out->season = keys.season;
  read_named(reader, "site", keys.site, &out->axis[ES_AXIS_SITE]);
  read_numbers(reader, "frequency_mhz", keys.frequency_mhz, 1000.0, 50000.0, "", "mhz", &out->axis[ES_AXIS_FREQUENCY]);
  read_words(reader, "polarisation", keys.polarisation, "horizontal|vertical", "", &out->axis[ES_AXIS_POLARISATION]);
  read_named(reader, "antenna", keys.antenna, &out->axis[ES_AXIS_ANTENNA]);
  read_numbers(reader, "azimuth_deg", keys.azimuth_deg, -360.0, 360.0, "az", "", &out->axis[ES_AXIS_AZIMUTH]);
  read_numbers(reader, "tilt_deg", keys.tilt_deg, -90.0, 90.0, "tilt", "", &out->axis[ES_AXIS_TILT]);
  read_named(reader, "feeder", keys.feeder, &out->axis[ES_AXIS_FEEDER]);
  read_words(reader, "amplifier", keys.amplifier, "foot|antenna", "amp-at-", &out->axis[ES_AXIS_AMPLIFIER]);
  read_numbers(reader, "years", keys.years, 0.0, 200.0, "", "years", &out->axis[ES_AXIS_YEARS]);
}

void es_vary_fini(es_vary *vary) {
  for (int a = 0; a < ES_AXES; a++) {
    es_axis *axis = &vary->axis[a];
    for (size_t i = 0; i < axis->n; i++) free(axis->label[i]);
    free(axis->label);
    free(axis->number);
    free(axis->node);
  }
  *vary = (es_vary){0};
}

bool es_vary_has(const es_vary *vary, es_axis_id axis) { return vary->axis[axis].n > 0; }

/* --- choices ------------------------------------------------------------------------------------------------------- */

double es_vary_count(const es_vary *vary) {
  double n = 1.0;
  for (int a = 0; a < ES_AXES; a++)
    if (vary->axis[a].n > 0) n *= (double)vary->axis[a].n;
  return n;
}

static void indices_of(const es_vary *vary, size_t i, size_t out[ES_AXES]) {
  for (int a = ES_AXES - 1; a >= 0; a--) {
    size_t n = vary->axis[a].n > 0 ? vary->axis[a].n : 1;
    out[a] = i % n;
    i /= n;
  }
}

static double number_at(const es_axis *axis, size_t i) { return axis->n > 0 ? axis->number[i] : NAN; }
static es_node node_at(const es_axis *axis, size_t i) { return axis->n > 0 ? axis->node[i] : ES_NO_NODE; }
static int32_t word_at(const es_axis *axis, size_t i) { return axis->n > 0 ? (int32_t)axis->number[i] : -1; }

es_choice es_vary_choice(const es_vary *vary, size_t i) {
  const es_axis *axis = vary->axis;
  size_t at[ES_AXES], aim = 0;
  indices_of(vary, i, at);
  for (int a = ES_AXIS_FREQUENCY; a <= ES_AXIS_TILT; a++) aim = aim * (axis[a].n > 0 ? axis[a].n : 1) + at[a];
  return (es_choice){
      .site = node_at(&axis[ES_AXIS_SITE], at[ES_AXIS_SITE]),
      .antenna = node_at(&axis[ES_AXIS_ANTENNA], at[ES_AXIS_ANTENNA]),
      .feeder = node_at(&axis[ES_AXIS_FEEDER], at[ES_AXIS_FEEDER]),
      .frequency_mhz = number_at(&axis[ES_AXIS_FREQUENCY], at[ES_AXIS_FREQUENCY]),
      .azimuth_deg = number_at(&axis[ES_AXIS_AZIMUTH], at[ES_AXIS_AZIMUTH]),
      .tilt_deg = number_at(&axis[ES_AXIS_TILT], at[ES_AXIS_TILT]),
      .years = number_at(&axis[ES_AXIS_YEARS], at[ES_AXIS_YEARS]),
      .polarisation = word_at(&axis[ES_AXIS_POLARISATION], at[ES_AXIS_POLARISATION]),
      .amplifier = word_at(&axis[ES_AXIS_AMPLIFIER], at[ES_AXIS_AMPLIFIER]),
      .site_index = at[ES_AXIS_SITE],
      .beam_index = aim,
  };
}

char *es_vary_name(const es_vary *vary, size_t i) {
  size_t at[ES_AXES];
  indices_of(vary, i, at);
  char *name = strdup("");
  for (int a = 0; name != NULL && a < ES_AXES; a++) {
    if (vary->axis[a].n == 0) continue;
    char *longer = es_format("%s%s%s", name, name[0] != '\0' ? "-" : "", vary->axis[a].label[at[a]]);
    free(name);
    name = longer;
  }
  return name;
}
