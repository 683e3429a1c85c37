/* chain.h - the models of a run, put together: what is lost at every percentage of time, by every way.
 *
 *   terms ----------------\
 *   fadings -> mix, invert -> each way's loss -> + ends -> combine (correlated, uncorrelated) -> all ways together
 *   ways (ducting, ...) --/
 *
 * Source of the combination: ITU-R P.2001-6 sections 4.1 to 4.3, 5 and attachment I. With each way's own antenna gains the
 * same rule gives the system loss, from which the received level follows.                                                  */
#ifndef EARSHOT_MODEL_CHAIN_H
#define EARSHOT_MODEL_CHAIN_H

#include "base/arena.h"
#include "model/climate.h"
#include "model/models.h"
#include "radial/radial.h"
#include "station/antenna.h"

enum { ES_WAYS = 3, ES_CHAIN_MODELS = 32 }; /* surface, duct, scatter: bit 1 << i */

/* As in the job file: "whole-year". */
const char *es_chain_name(es_chain_kind kind);

typedef struct es_chain {
  es_chain_kind kind;
  const es_loaded_model *models[ES_CHAIN_MODELS];
  size_t n;
  bool fixed_radius; /* one effective radius at every percentage */
} es_chain;

/* The chain's own list of models, ended by NULL. */
const char *const *es_chain_own_list(es_chain_kind kind);
/* Chooses and readies the models of a chain: `ids`, or the chain's own list when NULL. Faults name the job file. [setup] */
bool es_chain_make(es_chain_kind kind, char *const *ids, size_t n_ids, es_model_set *set,
                   const es_model_setting *settings, size_t n_settings, const char *convention, const char *file,
                   es_faults *faults, es_chain *out);

/* Columns of es_receivers (ES_UNREAD_...) that no model of the chain reads. */
uint32_t es_chain_unread(const es_chain *chain);

/* Receives quantities by the letters of their Recommendation; NULL in maps. */
typedef void (*es_note_fn)(void *to, size_t k, size_t r, const char *symbol, double value);

/* Everything about a radial's evaluation that is not its ground. One scene, one thread. */
typedef struct es_scene {
  const es_radial *radial;
  const es_climate *climate;
  const es_antenna *beacon_antenna, *listener_antenna; /* NULL: isotropic, 0 dBi */
  double freq_ghz;
  int32_t polarisation, season;
  const double *percent;
  size_t n_percent;
  es_note_fn note;
  void *note_to;
  es_arena *keep;    /* results and caches: until the caller resets it */
  es_arena *scratch; /* emptied after every call of a model */
} es_scene;

typedef struct es_way_answer {
  bool present;
  double *loss_db; /* [percent][receiver] basic transmission loss, fading, gases and ends included; NaN: no answer */
  uint8_t *status; /* [percent][receiver] */
  double *el_tx, *el_rx; /* [receiver] directions */
  double *gain_db;       /* [receiver] both antennas' gains in those directions */
  double *end_db;        /* [percent][receiver] the ends' part of loss_db; NULL when no model is an end */
} es_way_answer;

typedef struct es_term_answer {
  const char *id;
  double *value; /* [percent][receiver] on the surface way */
} es_term_answer;

typedef struct es_chain_answer {
  size_t n_percent, n_rx;
  es_way_answer way[ES_WAYS];
  double *basic_db;  /* [percent][receiver] all ways, no antenna */
  double *system_db; /* [percent][receiver] all ways less each one's gains: level = power - system_db */
  double *free_ends_basic_db, *free_ends_system_db; /* as if no end lost anything; NULL: nobody asked */
  uint8_t *winner;                                  /* [percent][receiver] the way with the least system loss */
  uint8_t *status; /* [percent][receiver] worst status; ES_FAILED with a value: a way is missing from it */
  es_term_answer term[ES_CHAIN_MODELS];
  size_t n_terms;
} es_chain_answer;

/* Evaluates all receivers of the scene's radial at all percentages. Memory from scene->keep. Fails only as a whole (a model
 * failed, no memory); single answers carry their status. [any thread, own scene] */
int32_t es_chain_evaluate(const es_chain *chain, es_scene *scene, es_chain_answer *out, es_error *err);

#endif
