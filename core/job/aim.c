#include "job/aim.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "job/shared.h"
#include "station/word.h"

static void read_mode(const es_reader *reader, es_node node, es_job *job) {
  if (node == ES_NO_NODE) return;
  const char *id = es_tree_text(reader->tree, node);
  const es_mode *mode = es_mode_find(&job->modes, id);
  if (mode != NULL)
    snprintf(job->aim.mode, sizeof job->aim.mode, "%s", mode->id);
  else
    es_read_fault(reader, "mode", node, "unknown mode, want one of the table of modes, such as cw or ssb");
}

/* The listener of that name, SIZE_MAX and a fault when there is none. */
static size_t find_listener(const es_reader *reader, es_node node, const es_job *job) {
  const char *name = es_tree_text(reader->tree, node);
  es_nearest nearest = {.word = name};
  for (size_t i = 0; i < job->listeners.n; i++) {
    if (strcmp(job->listeners.items[i].name, name) == 0) return i;
    es_nearest_offer(&nearest, job->listeners.items[i].name);
  }
  es_read_fault(reader, "first", node, "no listener has that name%s%s%s", nearest.best != NULL ? ", did you mean " : "",
                nearest.best != NULL ? nearest.best : "", nearest.best != NULL ? "?" : "");
  return SIZE_MAX;
}

static bool is_first(const es_aim *aim, size_t listener) {
  for (size_t i = 0; i < aim->n_first; i++)
    if (aim->first[i] == listener) return true;
  return false;
}

static void read_first(const es_reader *reader, es_node node, es_job *job) {
  if (node == ES_NO_NODE) return;
  bool list = es_tree_kind(reader->tree, node) == ES_NODE_LIST;
  size_t n = list ? es_tree_count(reader->tree, node) : 1;
  job->aim.first = calloc(n + 1, sizeof *job->aim.first);
  if (job->aim.first == NULL) es_fault_memory(reader->faults, reader->file);
  for (size_t i = 0; job->aim.first != NULL && i < n; i++) {
    es_node item = list ? es_tree_item(reader->tree, node, i) : node;
    size_t at = find_listener(reader, item, job);
    if (at != SIZE_MAX && is_first(&job->aim, at))
      es_read_fault(reader, "first", item, "%s is there twice, want it once", job->listeners.items[at].name);
    else if (at != SIZE_MAX)
      job->aim.first[job->aim.n_first++] = at;
  }
}

void es_aim_read(const es_reader *reader, es_node node, es_job *job) {
  es_aim_keys keys;
  es_read_section(reader, node, &es_aim_section, &keys);
  job->aim.time_percent = keys.time_percent;
  job->aim.by = (es_aim_by)keys.by;
  read_mode(reader, keys.mode, job);
  read_first(reader, keys.first, job);
  if (job->chain == ES_CHAIN_OPENINGS && keys.time_percent > 50.0)
    es_read_fault(reader, "time_percent", es_read_child(reader, node, "time_percent"),
                  "the openings chain answers for 50 %% of the time at most");
  if (job->aim.by == ES_AIM_AREA && !job->map.wanted)
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, node), "aim: by: area wants a map");
}

/* Index of a scenario; SIZE_MAX and a fault when no scenario has that name. */
static size_t find_scenario(const es_reader *reader, const char *key, es_node node, const char *name,
                            const es_job *job) {
  es_nearest nearest = {.word = name};
  for (size_t i = 0; i < job->n_scenarios; i++) {
    if (strcmp(job->scenarios[i].name, name) == 0) return i;
    es_nearest_offer(&nearest, job->scenarios[i].name);
  }
  es_read_fault(reader, key, es_read_child(reader, node, key), "no scenario has that name, %s %s%s",
                nearest.best != NULL ? "did you mean" : "the first is",
                nearest.best != NULL ? nearest.best : job->scenarios[0].name, nearest.best != NULL ? "?" : "");
  return SIZE_MAX;
}

static void read_pair(const es_reader *reader, es_node node, es_job *job) {
  es_compare_keys keys;
  es_read_section(reader, node, &es_compare_section, &keys);
  if (keys.from == NULL || keys.to == NULL) return;
  es_pair pair = {find_scenario(reader, "from", node, keys.from, job), find_scenario(reader, "to", node, keys.to, job)};
  if (pair.from == SIZE_MAX || pair.to == SIZE_MAX) return;
  if (pair.from == pair.to)
    es_read_fault(reader, "to", es_read_child(reader, node, "to"), "want another scenario than from");
  else
    job->pairs[job->n_pairs++] = pair;
}

void es_compare_read(const es_reader *reader, es_node node, es_job *job) {
  if (node == ES_NO_NODE || job->n_scenarios == 0) return;
  size_t n = es_tree_count(reader->tree, node);
  if (es_tree_kind(reader->tree, node) != ES_NODE_LIST || n == 0 || n > ES_MOST_PAIRS) {
    es_read_fault(reader, "compare", node, "want a list of 1 to %d sections {from: scenario, to: scenario}",
                  ES_MOST_PAIRS);
    return;
  }
  job->pairs = calloc(n, sizeof *job->pairs);
  if (job->pairs == NULL) es_fault_memory(reader->faults, reader->file);
  for (size_t i = 0; job->pairs != NULL && i < n; i++) read_pair(reader, es_tree_item(reader->tree, node, i), job);
}
