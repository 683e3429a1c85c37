/* A profile's job and its table: the bytes up to the first 0 are the job, the rest are the table. */
#include "fuzz.h"

#include <math.h>

#include "job/job.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  const uint8_t *cut = size > 0 ? memchr(data, 0, size) : NULL;
  size_t n = cut != NULL ? (size_t)(cut - data) : size;
  if (cut != NULL) fuzz_file("table.csv", cut + 1, size - n - 1);
  es_faults faults = {0};
  es_profile_job *job = es_profile_job_open(fuzz_file("profile.yaml", data, n), &faults);
  if ((job == NULL) != (faults.n_faults > 0)) abort();
  for (size_t i = 0; job != NULL && i < job->n; i++)
    if (!isfinite(job->dist_km[i]) || !isfinite(job->ground_m[i])) abort();
  es_profile_job_close(job);
  es_faults_free(&faults);
  return 0;
}
