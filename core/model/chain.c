/* chain.c - which models a run uses. */
#include "model/chain.h"

#include <string.h>

static const char *const diffraction_ids[] = {"free-space", "diffraction", "gases", NULL};
static const char *const whole_year_ids[] = {"free-space", "diffraction", "gases",        "clear-air",
                                             "rain",       "ducting",     "troposcatter", NULL};
static const char *const openings_ids[] = {"openings", NULL};

const char *es_chain_name(es_chain_kind kind) {
  static const char *const names[] = {"diffraction", "whole-year", "openings"};
  return names[kind];
}

const char *const *es_chain_own_list(es_chain_kind kind) {
  switch (kind) {
  case ES_CHAIN_DIFFRACTION: return diffraction_ids;
  case ES_CHAIN_OPENINGS: return openings_ids;
  case ES_CHAIN_WHOLE_YEAR: break;
  }
  return whole_year_ids;
}

static bool add(es_chain *chain, const char *id, es_model_set *set, const es_model_setting *settings, size_t n_settings,
                const char *convention, const char *file, es_faults *faults) {
  es_loaded_model *model = es_model_find(set, id);
  if (model == NULL) {
    es_fault_add(faults, file, 0, "models: %s is not installed; see: earshot models", id);
    return false;
  }
  if (chain->n == ES_CHAIN_MODELS) {
    es_fault_add(faults, file, 0, "models: more than %d, want fewer", ES_CHAIN_MODELS);
    return false;
  }
  for (size_t i = 0; i < chain->n; i++)
    if (chain->models[i] == model) {
      es_fault_add(faults, file, 0, "models: %s is listed twice", id);
      return false;
    }
  if (!model->ready && !es_model_ready(model, settings, n_settings, convention, file, faults)) return false;
  chain->models[chain->n++] = model;
  return true;
}

/* A setting for a model that takes no part would change nothing; the user should know. */
static void check_addressees(const es_chain *chain, const es_model_set *set, const es_model_setting *settings, size_t n,
                             const char *file, es_faults *faults) {
  for (size_t i = 0; i < n; i++) {
    bool used = false;
    for (size_t m = 0; m < chain->n; m++) used |= strcmp(chain->models[m]->is.id, settings[i].model) == 0;
    if (!used && es_model_find(set, settings[i].model) == NULL)
      es_fault_add(faults, file, settings[i].line, "settings: there is no model %s; see: earshot models",
                   settings[i].model);
    else if (!used)
      es_note_add(faults, file, settings[i].line, "settings: %s takes no part in this run", settings[i].model);
  }
}

bool es_chain_make(es_chain_kind kind, char *const *ids, size_t n_ids, es_model_set *set,
                   const es_model_setting *settings, size_t n_settings, const char *convention, const char *file,
                   es_faults *faults, es_chain *out) {
  size_t before = faults->n_faults;
  *out = (es_chain){.kind = kind, .fixed_radius = kind == ES_CHAIN_DIFFRACTION};
  if (ids != NULL)
    for (size_t i = 0; i < n_ids; i++) add(out, ids[i], set, settings, n_settings, convention, file, faults);
  else
    for (const char *const *id = es_chain_own_list(kind); *id != NULL; id++)
      add(out, *id, set, settings, n_settings, convention, file, faults);
  if (faults->n_faults == before && out->n == 0) es_fault_add(faults, file, 0, "models: none, want at least one");
  check_addressees(out, set, settings, n_settings, file, faults);
  return faults->n_faults == before;
}

uint32_t es_chain_unread(const es_chain *chain) {
  uint32_t unread = ~(uint32_t)0;
  bool scatter = false;
  for (size_t i = 0; i < chain->n; i++) {
    unread &= chain->models[i]->is.unread;
    scatter |= chain->models[i]->is.role == ES_WAY && (chain->models[i]->is.touches & ES_SCATTER) != 0;
  }
  return scatter ? unread & ~(uint32_t)ES_UNREAD_VOLUME : unread; /* legs go to the common volume */
}
