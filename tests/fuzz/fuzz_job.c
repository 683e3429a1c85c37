/* A job file beside a list of listeners, a pattern and a table of modes. */
#include "fuzz.h"

#include "job/job.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  static const char list[] = "name,lon,lat\nQ0AA,-36,46\n", pattern[] = "angle_deg,gain_db\n-180,-9\n-90,-3\n0,0\n",
                    modes[] = "id,snr_2500_db\nslow,-20\n";
  static bool beside;
  if (!beside) {
    fuzz_file("l.csv", list, sizeof list - 1);
    fuzz_file("p.csv", pattern, sizeof pattern - 1);
    fuzz_file("m.csv", modes, sizeof modes - 1);
    fuzz_file("g.tif", "", 0);
    beside = true;
  }
  es_faults faults = {0};
  es_job *job = es_job_read(fuzz_file("job.yaml", data, size), &faults); /* a faulty one, too, is looked at further */
  if (job == NULL && faults.n_faults == 0) abort();
  if (job != NULL && (unsigned)job->chain > ES_CHAIN_OPENINGS) abort();
  if (job != NULL && (unsigned)job->surface > ES_SURFACE_RADAR) abort();
  if (job != NULL && faults.n_faults == 0 && job->n_scenarios == 0) abort();
  es_job_close(job);
  es_faults_free(&faults);
  return 0;
}
