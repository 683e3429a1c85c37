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

static bool make(const es_setup *setup, const json_t *inputs, es_needs *out, es_error *err) {
  const json_t *scenarios = json_object_get(inputs, "scenarios"), *listeners = json_object_get(inputs, "listeners");
  uint64_t shared = 0, machine = 0, list = 0;
  bool ok = out->maps != NULL && mix_shared(setup, inputs, &shared) && mix_machine(setup, &machine, err) &&
            mix_json(listeners, &list);
  out->table = mix(mix(shared, machine), list);
  for (size_t s = 0; ok && s < setup->job->n_scenarios; s++) {
    uint64_t map = shared;
    ok = mix_json(json_array_get(scenarios, s), &map);
    snprintf(out->maps[s].id, sizeof out->maps[s].id, "%08llX", (unsigned long long)(map & 0xFFFFFFFFu));
    out->maps[s].raster = mix(map, machine);
    out->maps[s].sheet = mix(out->maps[s].raster, list);
    out->table = mix(out->table, map);
  }
  return ok;
}

int32_t es_needs_make(const es_setup *setup, const json_t *inputs, es_needs *out, es_error *err) {
  *out = (es_needs){.maps = calloc(setup->job->n_scenarios + 1, sizeof *out->maps)};
  if (make(setup, inputs, out, err)) return 0;
  es_needs_free(out);
  return err->status != 0 ? err->status : es_fail(err, ES_E_MEMORY, "out of memory");
}

void es_needs_free(es_needs *needs) {
  free(needs->maps);
  *needs = (es_needs){0};
}
