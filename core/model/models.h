/* models.h - the plugin host: finds loss models in folders, opens them, checks them, gives them their settings [dlopen].
 *
 * A folder is searched for *.so; the first model of an id wins, in the order of the folders. What a library declares is
 * copied (as much as it knows, the rest zero) and checked before anything of it runs. [setup] throughout.                */
#ifndef EARSHOT_MODEL_MODELS_H
#define EARSHOT_MODEL_MODELS_H

#include "base/faults.h"
#include "job/job.h"

typedef struct es_loaded_model {
  es_model is;    /* our copy */
  char *path;     /* of the library */
  void *library;  /* dlopen handle */
  void *self;     /* what create() made; NULL until es_model_ready() */
  double *values; /* settings in use, is.n_settings */
  bool ready;
} es_loaded_model;

typedef struct es_model_set {
  es_loaded_model *items;
  size_t n;
} es_model_set;

/* Opens every model in the folders. A library that is no model, or is one of another interface version, is a fault with its
 * path and the reason when `strict`, else a note. A missing folder is a fault when it was named by the user (strict). */
bool es_models_open(const char *const *folders, size_t n_folders, bool strict, es_model_set *set, es_faults *faults);
void es_models_close(es_model_set *set);
es_loaded_model *es_model_find(const es_model_set *set, const char *id);

/* Parses the settings meant for this model, checks their ranges and calls create(). `convention` (p526, p2001, p452; NULL:
 * none) is used for a setting of that name that the job leaves alone. Faults name `file` and the setting's line. */
bool es_model_ready(es_loaded_model *model, const es_model_setting *settings, size_t n, const char *convention,
                    const char *file, es_faults *faults);

/* Copies what a library declared in `room` bytes, and no more; what it does not know is zero. False with the reason when it
 * cannot be used. */
bool es_model_take(const es_model *theirs, size_t room, es_model *ours, char *why, size_t n);

const char *es_role_name(int32_t role);
/* Text of a setting's value: a choice's word or a number. Writes at most n bytes. */
void es_setting_text(const es_setting *setting, double value, char *out, size_t n);

#endif
