/* predict.h - the program's own chains over measured paths, through the code of `earshot profile`. */
#ifndef EARSHOT_TRUTH_PREDICT_H
#define EARSHOT_TRUTH_PREDICT_H

#include "bank.h"
#include "job/job.h"
#include "zones.h"

typedef enum truth_climate {
  TRUTH_CLIMATE_BANK, /* N0 and the lapse from the bank where it has them, else the program's own fallbacks */
  TRUTH_CLIMATE_OWN   /* the fallbacks alone */
} truth_climate;

enum { TRUTH_SETTINGS = 1 };

/* One way of predicting: chain, settings, zones, climate. */
typedef struct truth_form {
  const char *name;
  es_chain_kind chain;
  struct {
    const char *model, *key, *value;
  } set[TRUTH_SETTINGS]; /* model NULL: none */
  truth_zoning zoning;
  truth_climate climate;
} truth_form;

enum { TRUTH_SURFACE, TRUTH_DUCT, TRUTH_SCATTER, TRUTH_WAYS };
extern const char *const truth_way_names[TRUTH_WAYS];

typedef struct truth_answer {
  double *loss_db; /* one for each value of the bank */
  uint8_t *way;    /* TRUTH_...: the way that carries it */
} truth_answer;

/* False with faults; fini in every case. */
bool truth_predict(const truth_bank *bank, const truth_form *form, const truth_zone_set *zones, const char *models,
                   truth_answer *out, es_faults *faults);
void truth_answer_fini(truth_answer *answer);

#endif
