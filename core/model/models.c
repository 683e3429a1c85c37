#include "model/models.h"

#include <dirent.h>
#include <dlfcn.h>
#include <link.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "model/blame.h"

const char *es_role_name(int32_t role) {
  static const char *const names[] = {"?", "term", "end", "fading", "way", "total"};
  return role >= ES_TERM && role <= ES_TOTAL ? names[role] : names[0];
}

/* --- opening ---------------------------------------------------------------------------------------------------------- */

static const char *what_is_wrong_with(const es_setting *s) {
  if (s->key == NULL || s->key[0] == '\0' || s->unit == NULL) return "a setting has no key or no unit";
  if (s->choices == NULL) return NULL;
  double n = 1.0;
  for (const char *c = s->choices; *c != '\0'; c++) n += *c == '|';
  return s->fallback >= 0.0 && s->fallback < n ? NULL : "a setting's fallback is none of its choices";
}

static const char *what_is_wrong(const es_model *m) {
  if (m->id == NULL || m->id[0] == '\0') return "it has no id";
  if (m->role < ES_TERM || m->role > ES_TOTAL) return "its role is none of term, end, fading, way, total";
  if (m->evaluate == NULL) return "it has no evaluate()";
  if (m->role != ES_TOTAL && (m->touches & ES_ALL_WAYS) == 0) return "it touches no way";
  if (m->n_settings > 0 && m->settings == NULL) return "it counts settings and shows none";
  if ((m->prepare == NULL) != (m->prepared_bytes == NULL)) return "prepare() and prepared_bytes() must come together";
  for (size_t i = 0; i < m->n_settings; i++)
    if (what_is_wrong_with(&m->settings[i]) != NULL) return what_is_wrong_with(&m->settings[i]);
  return NULL;
}

bool es_model_take(const es_model *theirs, size_t room, es_model *ours, char *why, size_t n) {
  if (room < offsetof(es_model, id)) {
    snprintf(why, n, "its es_model_entry is too short");
    return false;
  }
  if (theirs->abi != ES_ABI) {
    snprintf(why, n, "it speaks interface version %u, this program %u", theirs->abi, ES_ABI);
    return false;
  }
  if (theirs->size > room) {
    snprintf(why, n, "its es_model_entry says %u bytes and has %zu", theirs->size, room);
    return false;
  }
  size_t size = theirs->size < sizeof *ours ? theirs->size : sizeof *ours;
  size -= size % sizeof(void *); /* a pointer cut in half is none */
  memset(ours, 0, sizeof *ours);
  memcpy(ours, theirs, size);
  const char *wrong = what_is_wrong(ours);
  if (wrong != NULL) snprintf(why, n, "%s", wrong);
  return wrong == NULL;
}

/* Bytes the library gives to what it exports; SIZE_MAX when it does not say. */
static size_t room_of(const void *entry) {
  Dl_info info;
  void *symbol = NULL;
  if (dladdr1(entry, &info, &symbol, RTLD_DL_SYMENT) == 0 || symbol == NULL) return SIZE_MAX;
  size_t bytes = (size_t)((const ElfW(Sym) *)symbol)->st_size;
  return bytes > 0 ? bytes : SIZE_MAX;
}

static bool open_model(const char *path, es_loaded_model *out, char *why, size_t n) {
  es_blame(path);
  *out = (es_loaded_model){.library = dlopen(path, RTLD_NOW | RTLD_LOCAL)};
  es_blame(NULL);
  if (out->library == NULL) {
    snprintf(why, n, "%s", dlerror());
    return false;
  }
  const es_model *entry = dlsym(out->library, "es_model_entry");
  if (entry == NULL)
    snprintf(why, n, "it exports no es_model_entry");
  else if (es_model_take(entry, room_of(entry), &out->is, why, n)) {
    out->path = strdup(path);
    if (out->path != NULL) return true;
    snprintf(why, n, "out of memory");
  }
  dlclose(out->library);
  return false;
}

static bool append(es_model_set *set, const es_loaded_model *model) {
  es_loaded_model *items = realloc(set->items, (set->n + 1) * sizeof *items);
  if (items == NULL) return false;
  set->items = items;
  set->items[set->n++] = *model;
  return true;
}

static void drop(es_loaded_model *m) {
  es_blame(m->path);
  if (m->ready && m->is.destroy != NULL) m->is.destroy(m->self);
  if (m->library != NULL) dlclose(m->library);
  es_blame(NULL);
  free(m->path);
  free(m->values);
}

static void take_library(const char *path, bool strict, es_model_set *set, es_faults *faults) {
  es_loaded_model model;
  char why[512];
  if (!open_model(path, &model, why, sizeof why)) {
    if (strict)
      es_fault_add(faults, path, 0, "not a model: %s", why);
    else
      es_note_add(faults, path, 0, "not a model: %s", why);
    return;
  }
  bool known = es_model_find(set, model.is.id) != NULL;
  if (!known && append(set, &model)) return;
  if (!known) es_fault_memory(faults, path);
  drop(&model);
}

static int is_library(const struct dirent *entry) {
  size_t n = strlen(entry->d_name);
  return n > 3 && strcmp(entry->d_name + n - 3, ".so") == 0;
}

bool es_models_open(const char *const *folders, size_t n_folders, bool strict, es_model_set *set, es_faults *faults) {
  size_t before = faults->n_faults;
  for (size_t f = 0; f < n_folders; f++) {
    struct dirent **entries;
    int n = scandir(folders[f], &entries, is_library, alphasort);
    if (n < 0) {
      if (strict) es_fault_add(faults, folders[f], 0, "not a folder of models");
      continue;
    }
    for (int i = 0; i < n; i++) {
      char *path = es_format("%s/%s", folders[f], entries[i]->d_name);
      if (path != NULL)
        take_library(path, strict, set, faults);
      else
        es_fault_memory(faults, folders[f]);
      free(path);
      free(entries[i]);
    }
    free(entries);
  }
  return faults->n_faults == before;
}

void es_models_close(es_model_set *set) {
  for (size_t i = 0; i < set->n; i++) drop(&set->items[i]);
  free(set->items);
  *set = (es_model_set){0};
}

es_loaded_model *es_model_find(const es_model_set *set, const char *id) {
  for (size_t i = 0; i < set->n; i++)
    if (strcmp(set->items[i].is.id, id) == 0) return &set->items[i];
  return NULL;
}

/* --- settings ----------------------------------------------------------------------------------------------------------- */

/* Index of a word among "first|second|third", or -1. */
static int choice_index(const char *choices, const char *word) {
  size_t n = strlen(word);
  for (int i = 0;; i++) {
    size_t length = strcspn(choices, "|");
    if (length == n && strncmp(choices, word, n) == 0) return i;
    if (choices[length] == '\0') return -1;
    choices += length + 1;
  }
}

void es_setting_text(const es_setting *setting, double value, char *out, size_t n) {
  if (setting->choices == NULL) {
    snprintf(out, n, "%g%s%s", value, setting->unit[0] != '\0' ? " " : "", setting->unit);
    return;
  }
  const char *at = setting->choices;
  for (int i = 0; i < (int)value && at != NULL; i++) at = strchr(at, '|') != NULL ? strchr(at, '|') + 1 : NULL;
  snprintf(out, n, "%.*s", at != NULL ? (int)strcspn(at, "|") : 0, at != NULL ? at : "");
}

static size_t setting_index(const es_model *model, const char *key) {
  for (size_t i = 0; i < model->n_settings; i++)
    if (strcmp(model->settings[i].key, key) == 0) return i;
  return SIZE_MAX;
}

static bool parse_setting(const es_setting *setting, const char *text, double *out) {
  if (setting->choices != NULL) {
    int index = choice_index(setting->choices, text);
    *out = index;
    return index >= 0;
  }
  return es_parse_number(text, out) && *out >= setting->min && *out <= setting->max;
}

static void apply(es_loaded_model *m, const es_model_setting *s, const char *file, es_faults *faults) {
  size_t i = setting_index(&m->is, s->key);
  if (i == SIZE_MAX) {
    es_fault_add(faults, file, s->line, "settings: %s has no setting %s; see: earshot models %s", m->is.id, s->key,
                 m->is.id);
    return;
  }
  const es_setting *setting = &m->is.settings[i];
  if (parse_setting(setting, s->value, &m->values[i])) return;
  if (setting->choices != NULL)
    es_fault_add(faults, file, s->line, "%s: %s=%s: want one of %s", m->is.id, s->key, s->value, setting->choices);
  else
    es_fault_add(faults, file, s->line, "%s: %s=%s: want a number from %g to %g %s", m->is.id, s->key, s->value,
                 setting->min, setting->max, setting->unit);
}

bool es_model_ready(es_loaded_model *m, const es_model_setting *settings, size_t n, const char *convention,
                    const char *file, es_faults *faults) {
  size_t before = faults->n_faults;
  m->values = calloc(m->is.n_settings + 1, sizeof *m->values);
  if (m->values == NULL) {
    es_fault_memory(faults, file);
    return false;
  }
  for (size_t i = 0; i < m->is.n_settings; i++) {
    double wished;
    bool asked = convention != NULL && strcmp(m->is.settings[i].key, "convention") == 0;
    bool known = asked && parse_setting(&m->is.settings[i], convention, &wished);
    m->values[i] = known ? wished : m->is.settings[i].fallback;
  }
  for (size_t i = 0; i < n; i++)
    if (strcmp(settings[i].model, m->is.id) == 0) apply(m, &settings[i], file, faults);
  if (faults->n_faults > before) return false;
  es_error err = {0};
  es_blame(m->is.id);
  int32_t status = m->is.create != NULL ? m->is.create(m->values, &m->self, &err) : 0;
  es_blame(NULL);
  if (status != 0) {
    es_fault_add(faults, m->path, 0, "model %s cannot be set up: %s", m->is.id, err.detail);
    return false;
  }
  return m->ready = true;
}
