#include "job/read.h"

#include <sys/stat.h>
#include <unistd.h>

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "place/locator.h"
#include "station/word.h"

/* A value as it stands in a message. */
static const char *shown(const es_reader *reader, es_node node) {
  switch (es_tree_kind(reader->tree, node)) {
  case ES_NODE_TEXT: return es_tree_text(reader->tree, node);
  case ES_NODE_LIST: return "[...]";
  case ES_NODE_MAP: return "{...}";
  case ES_NODE_EMPTY:
  case ES_NODE_NONE:
  default: return "";
  }
}

void es_read_fault(const es_reader *reader, const char *name, es_node node, const char *format, ...) {
  char text[512];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, node), "%s=%.100s: %s", name,
               shown(reader, node), text);
}

static void out_of_memory(const es_reader *reader) { es_fault_memory(reader->faults, reader->file); }

double es_read_number(const es_reader *reader, const char *name, es_node node, double min, double max,
                      const char *unit) {
  double value;
  bool good = es_parse_number(es_tree_text(reader->tree, node), &value) && value >= min && value <= max;
  if (good) return value;
  es_read_fault(reader, name, node, "want a number from %.10g to %.10g%s%s", min, max, unit[0] != '\0' ? " " : "",
                unit);
  return NAN;
}

/* "a|b|c" as "a, b or c". */
static void choices_in_words(const char *choices, char *out, size_t room) {
  size_t used = 0;
  for (const char *c = choices; *c != '\0' && used + 5 < room; c++) {
    const char *between = *c != '|' ? NULL : strchr(c + 1, '|') != NULL ? ", " : " or ";
    if (between == NULL)
      out[used++] = *c;
    else
      used += (size_t)snprintf(out + used, room - used, "%s", between);
  }
  out[used] = '\0';
}

int32_t es_read_choice(const es_reader *reader, const char *name, es_node node, const char *choices) {
  const char *text = es_tree_text(reader->tree, node);
  size_t length = strlen(text);
  int32_t index = 0;
  for (const char *word = choices; length > 0; index++) {
    size_t n = strcspn(word, "|");
    if (n == length && strncmp(word, text, n) == 0) return index;
    if (word[n] == '\0') break;
    word += n + 1;
  }
  char words[256];
  choices_in_words(choices, words, sizeof words);
  es_read_fault(reader, name, node, "want %s", words);
  return -1;
}

es_node es_read_child(const es_reader *reader, es_node map, const char *name) {
  for (size_t i = 0; i < es_tree_count(reader->tree, map); i++)
    if (strcmp(es_tree_text(reader->tree, es_tree_key(reader->tree, map, i)), name) == 0)
      return es_tree_value(reader->tree, map, i);
  return ES_NO_NODE;
}

bool es_read_has(const es_reader *reader, es_node map, const char *name) {
  return es_read_child(reader, map, name) != ES_NO_NODE;
}

static double whole(const es_reader *reader, const es_key *key, es_node node) {
  double value = es_read_number(reader, key->name, node, key->min, key->max, key->unit);
  if (isnan(value) || value == floor(value)) return value;
  es_read_fault(reader, key->name, node, "want a whole number from %.10g to %.10g", key->min, key->max);
  return NAN;
}

static const char *text_of(const es_reader *reader, const es_key *key, es_node node) {
  const char *text = es_tree_text(reader->tree, node);
  if (text[0] != '\0') return text;
  es_read_fault(reader, key->name, node, "want text");
  return NULL;
}

/* A word that is none of the choices is told, and read as if it were not there: a faulty job is looked at further. */
static int32_t choice(const es_reader *reader, const es_key *key, es_node node) {
  int32_t index = es_read_choice(reader, key->name, node, key->choices);
  return index >= 0 ? index : (int32_t)key->fallback;
}

static void store_absent(const es_key *key, void *at) {
  switch (key->kind) {
  case ES_KEY_NUMBER:
  case ES_KEY_WHOLE: *(double *)at = key->fallback; break;
  case ES_KEY_TEXT: *(const char **)at = NULL; break;
  case ES_KEY_CHOICE: *(int32_t *)at = (int32_t)key->fallback; break;
  case ES_KEY_NODE: *(es_node *)at = ES_NO_NODE; break;
  }
}

static void store(const es_reader *reader, const es_key *key, es_node node, void *at) {
  switch (key->kind) {
  case ES_KEY_NUMBER: *(double *)at = es_read_number(reader, key->name, node, key->min, key->max, key->unit); break;
  case ES_KEY_WHOLE: *(double *)at = whole(reader, key, node); break;
  case ES_KEY_TEXT: *(const char **)at = text_of(reader, key, node); break;
  case ES_KEY_CHOICE: *(int32_t *)at = choice(reader, key, node); break;
  case ES_KEY_NODE: *(es_node *)at = node; break;
  }
}

static const es_key *find_key(const es_section *section, const char *name) {
  for (size_t k = 0; k < section->n; k++)
    if (strcmp(section->keys[k].name, name) == 0) return &section->keys[k];
  return NULL;
}

static bool seen_before(const es_reader *reader, es_node map, size_t i) {
  const char *name = es_tree_text(reader->tree, es_tree_key(reader->tree, map, i));
  for (size_t j = 0; j < i; j++)
    if (strcmp(es_tree_text(reader->tree, es_tree_key(reader->tree, map, j)), name) == 0) return true;
  return false;
}

static void tell_unknown(const es_reader *reader, const es_section *section, es_node key, es_node value) {
  const char *name = es_tree_text(reader->tree, key), *where = section->name;
  es_nearest nearest = {.word = name};
  for (size_t k = 0; k < section->n; k++) es_nearest_offer(&nearest, section->keys[k].name);
  es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, key), "%.100s=%.100s: unknown key%s%s%s%s%s",
               name, shown(reader, value), where[0] != '\0' ? " of " : "", where,
               nearest.best != NULL ? ", did you mean " : ": see the page of keys",
               nearest.best != NULL ? nearest.best : "", nearest.best != NULL ? "?" : "");
}

static void tell_missing(const es_reader *reader, const es_section *section, es_node node, const es_key *key) {
  const char *where = section->name[0] != '\0' ? section->name : "the file";
  char want[256];
  if (key->kind == ES_KEY_NUMBER)
    snprintf(want, sizeof want, "%.10g to %.10g %s", key->min, key->max, key->unit);
  else
    snprintf(want, sizeof want, "%s", key->form != NULL ? key->form : "text");
  es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, node), "%s: %s is missing: want %s", where,
               key->name, want);
}

static void read_pair(const es_reader *reader, es_node map, size_t i, const es_section *section, char *out) {
  es_node name = es_tree_key(reader->tree, map, i), value = es_tree_value(reader->tree, map, i);
  const es_key *key = find_key(section, es_tree_text(reader->tree, name));
  if (key == NULL)
    tell_unknown(reader, section, name, value);
  else if (seen_before(reader, map, i))
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, name),
                 "%s=%.100s: repeated key, want it once", key->name, shown(reader, value));
  else
    store(reader, key, value, out + key->offset);
}

void es_read_section(const es_reader *reader, es_node node, const es_section *section, void *out) {
  es_node_kind kind = es_tree_kind(reader->tree, node);
  for (size_t k = 0; k < section->n; k++) store_absent(&section->keys[k], (char *)out + section->keys[k].offset);
  if (kind == ES_NODE_NONE) return;
  if (kind != ES_NODE_MAP && kind != ES_NODE_EMPTY) {
    es_read_fault(reader, section->name[0] != '\0' ? section->name : "file", node, "want keys and values");
    return;
  }
  if (kind == ES_NODE_MAP)
    for (size_t i = 0; i < es_tree_count(reader->tree, node); i++) read_pair(reader, node, i, section, out);
  for (size_t k = 0; k < section->n; k++)
    if (section->keys[k].required && !es_read_has(reader, node, section->keys[k].name))
      tell_missing(reader, section, node, &section->keys[k]);
}

/* Items of a list; anything else counts as a list of one. */
static size_t item_count(const es_reader *reader, es_node node) {
  return es_tree_kind(reader->tree, node) == ES_NODE_LIST ? es_tree_count(reader->tree, node) : 1;
}

static es_node item_of(const es_reader *reader, es_node node, size_t i) {
  return es_tree_kind(reader->tree, node) == ES_NODE_LIST ? es_tree_item(reader->tree, node, i) : node;
}

static bool list_item(const es_reader *reader, const char *name, es_node node, double min, double max, bool open,
                      double *out) {
  bool good = es_parse_number(es_tree_text(reader->tree, node), out) && *out >= min && *out <= max;
  if (good && (!open || (*out > min && *out < max))) return true;
  if (open)
    es_read_fault(reader, name, node, "want numbers above %.10g and below %.10g", min, max);
  else
    es_read_fault(reader, name, node, "want numbers from %.10g to %.10g", min, max);
  return false;
}

double *es_read_numbers(const es_reader *reader, const char *name, es_node node, double min, double max, bool open,
                        size_t *n) {
  size_t count = item_count(reader, node);
  bool ok = count > 0;
  *n = 0;
  if (!ok) es_read_fault(reader, name, node, "want at least one number");
  double *values = ok ? malloc(count * sizeof *values) : NULL;
  if (ok && values == NULL) out_of_memory(reader);
  if (values == NULL) return NULL;
  for (size_t i = 0; i < count; i++)
    ok = list_item(reader, name, item_of(reader, node, i), min, max, open, &values[i]) && ok;
  if (!ok) {
    free(values);
    return NULL;
  }
  *n = count;
  return values;
}

static es_place_kind place_of_locator(const es_reader *reader, const char *name, es_node node, es_lonlat *out) {
  es_error err = {0};
  const char *text = es_tree_text(reader->tree, node);
  size_t length = strlen(text);
  if (length >= 6 && es_locator_parse(text, out, NULL, NULL, &err) == 0)
    return length == 6 ? ES_PLACE_ROUGH : ES_PLACE_EXACT;
  es_read_fault(reader, name, node, "want [longitude, latitude] in degrees, or a locator of 6, 8 or 10 characters");
  return ES_PLACE_FAULTY;
}

es_place_kind es_read_place(const es_reader *reader, const char *name, es_node node, es_lonlat *out) {
  if (es_tree_kind(reader->tree, node) != ES_NODE_LIST) return place_of_locator(reader, name, node, out);
  if (es_tree_count(reader->tree, node) != 2) {
    es_read_fault(reader, name, node, "want [longitude, latitude] in degrees");
    return ES_PLACE_FAULTY;
  }
  es_node lon = es_tree_item(reader->tree, node, 0), lat = es_tree_item(reader->tree, node, 1);
  out->lon_deg = es_read_number(reader, "longitude", lon, -180.0, 180.0, "degrees");
  out->lat_deg = es_read_number(reader, "latitude", lat, -90.0, 90.0, "degrees");
  return isnan(out->lon_deg) || isnan(out->lat_deg) ? ES_PLACE_FAULTY : ES_PLACE_EXACT;
}

/* What is wrong with a path, in words; NULL when nothing is. Paths that GDAL itself resolves ("/vsizip/...") are
 * its matter. */
static const char *path_problem(const char *path, es_path_kind kind) {
  struct stat info;
  if (strncmp(path, "/vsi", 4) == 0) return NULL;
  if (stat(path, &info) != 0) return "there is none";
  if (kind == ES_PATH_FILE && S_ISDIR(info.st_mode)) return "that is a folder";
  if (kind == ES_PATH_FOLDER && !S_ISDIR(info.st_mode)) return "that is no folder";
  return access(path, R_OK) == 0 ? NULL : "it may not be read";
}

char *es_read_path(const es_reader *reader, const char *name, es_node node, es_path_kind kind) {
  static const char *const wanted[] = {"a file", "a folder", "a file or a folder"};
  const char *text = es_tree_text(reader->tree, node);
  if (text[0] == '\0') {
    es_read_fault(reader, name, node, "want the name of %s", wanted[kind]);
    return NULL;
  }
  char *path = es_path_beside(reader->file, text);
  if (path == NULL) {
    out_of_memory(reader);
    return NULL;
  }
  const char *problem = path_problem(path, kind);
  if (problem == NULL) return path;
  es_read_fault(reader, name, node, "want %s that can be read: %s at %s", wanted[kind], problem, path);
  free(path);
  return NULL;
}

char **es_read_paths(const es_reader *reader, const char *name, es_node node, size_t *n) {
  size_t count = item_count(reader, node);
  *n = 0;
  if (es_tree_kind(reader->tree, node) == ES_NODE_NONE) return NULL;
  if (count == 0) es_read_fault(reader, name, node, "want at least one file or folder");
  char **paths = count > 0 ? calloc(count, sizeof *paths) : NULL;
  if (count > 0 && paths == NULL) out_of_memory(reader);
  for (size_t i = 0; paths != NULL && i < count; i++) {
    char *path = es_read_path(reader, name, item_of(reader, node, i), ES_PATH_EITHER);
    if (path != NULL) paths[(*n)++] = path;
  }
  return paths;
}

char **es_read_texts(const es_reader *reader, const char *name, es_node node, size_t *n) {
  es_node_kind kind = es_tree_kind(reader->tree, node);
  *n = 0;
  if (kind == ES_NODE_NONE || kind == ES_NODE_EMPTY) return NULL;
  size_t count = es_tree_count(reader->tree, node);
  if (kind != ES_NODE_LIST || count == 0) {
    es_read_fault(reader, name, node, "want a list of at least one");
    return NULL;
  }
  char **texts = calloc(count, sizeof *texts);
  if (texts == NULL) out_of_memory(reader);
  for (size_t i = 0; texts != NULL && i < count; i++) {
    es_node item = es_tree_item(reader->tree, node, i);
    const char *text = es_tree_text(reader->tree, item);
    bool twice = false;
    for (size_t j = 0; j < *n; j++) twice = twice || strcmp(texts[j], text) == 0;
    if (text[0] == '\0')
      es_read_fault(reader, name, item, "want text");
    else if (twice)
      es_read_fault(reader, name, item, "named twice, want it once");
    else if ((texts[*n] = strdup(text)) != NULL)
      (*n)++;
    else
      out_of_memory(reader);
  }
  return texts;
}
