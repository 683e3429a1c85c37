#include "run/needs.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/checksum.h"

static uint64_t mix(uint64_t sum, uint64_t other) {
  uint64_t pair[2] = {sum, other};
  return es_checksum(pair, sizeof pair);
}

static bool mix_json(const json_t *json, uint64_t *sum) {
  char *text = json_dumps(json, JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(17));
  if (text == NULL) return false;
  *sum = mix(*sum, es_checksum(text, strlen(text)));
  free(text);
  return true;
}

static bool mix_file(const char *path, uint64_t *sum, es_error *err) {
  uint64_t file, bytes;
  if (es_checksum_file(path, &file, &bytes, err) != 0) return false;
  *sum = mix(*sum, file);
  return true;
}

/* Everything but the scenarios and the listeners; the job's text is in its digest, comments and layout aside. */
static bool mix_shared(const es_setup *setup, const json_t *inputs, uint64_t *sum) {
  json_t *rest = json_copy((json_t *)(uintptr_t)inputs); /* a shallow copy; the parts are only read */
  if (rest == NULL) return false;
  json_object_del(rest, "job");
  json_object_del(rest, "listeners");
  json_object_del(rest, "scenarios");
  bool ok = mix_json(rest, sum);
  json_decref(rest);
  *sum = mix(*sum, setup->job->digest);
  return ok;
}

/* The code that computes, and how far the ground is read. */
static bool mix_machine(const es_setup *setup, uint64_t *sum, es_error *err) {
  bool ok = mix_file("/proc/self/exe", sum, err);
  for (size_t i = 0; ok && i < setup->chain.n; i++) ok = mix_file(setup->chain.models[i]->path, sum, err);
  *sum = mix(*sum, es_checksum(&setup->reach_m, sizeof setup->reach_m));
  return ok;
}

static bool fill(const es_setup *setup, const json_t *inputs, es_map_need *needs, es_error *err) {
  const json_t *scenarios = json_object_get(inputs, "scenarios");
  uint64_t shared = 0, machine = 0;
  bool ok = mix_shared(setup, inputs, &shared) && mix_machine(setup, &machine, err);
  for (size_t s = 0; ok && s < setup->job->n_scenarios; s++) {
    uint64_t map = shared;
    ok = mix_json(json_array_get(scenarios, s), &map);
    needs[s].key = mix(map, machine);
    snprintf(needs[s].id, sizeof needs[s].id, "%08llX", (unsigned long long)(map & 0xFFFFFFFFu));
  }
  return ok;
}

es_map_need *es_needs_make(const es_setup *setup, const json_t *inputs, es_error *err) {
  es_map_need *needs = calloc(setup->job->n_scenarios + 1, sizeof *needs);
  if (needs != NULL && fill(setup, inputs, needs, err)) return needs;
  free(needs);
  if (err->status == 0) es_fail(err, ES_E_MEMORY, "out of memory");
  return NULL;
}
