/* published.c - see published.h. */
#include "published.h"

#include "station/folder.h"

static json_t *told(json_t *answer, es_faults *faults) {
  if (faults->n_faults > 0) faults_print(faults);
  es_faults_free(faults);
  return answer;
}

json_t *published_answer(const es_profile_job *job) {
  es_faults faults = {0};
  const es_model_folders folders = {.installed = ES_BUILT_MODELS};
  return told(es_profile_evaluate(job, &folders, &faults), &faults);
}

json_t *published_evaluate(const char *path) {
  es_faults faults = {0};
  es_profile_job *job = es_profile_job_open(path, &faults);
  json_t *answer = job != NULL ? published_answer(job) : NULL;
  es_profile_job_close(job);
  return told(answer, &faults);
}
