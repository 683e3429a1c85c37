/* shared.h - what a job and a profile file have in common: climate, settings, percentages. */
#ifndef EARSHOT_JOB_SHARED_H
#define EARSHOT_JOB_SHARED_H

#include "job/job.h"
#include "job/read.h"

/* nodes: climate, climate_beacon_side, climate_listener_side. */
void es_climate_read(const es_reader *reader, const es_node nodes[3], es_climate_plan *out);
/* "settings: {model: {key: value}}". Caller frees with es_settings_free. */
es_model_setting *es_settings_read(const es_reader *reader, es_node node, size_t *n);
void es_settings_free(es_model_setting *settings, size_t n);
/* Percentages above 0 and below 100; [50] when absent. NULL on a fault. Caller frees. */
double *es_percent_read(const es_reader *reader, es_node node, bool increasing, size_t *n);
/* The effective radius belongs to one chain: told when it is given with another. */
void es_radius_check(const es_reader *reader, double radius_km, es_chain_kind chain);
/* strdup. NULL with a fault when memory is short. */
char *es_text_copy(const es_reader *reader, const char *text);

#endif
