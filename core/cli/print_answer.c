#include "cli/print_answer.h"

#include <math.h>
#include <stdio.h>

#include "run/verdict.h"

void es_print_doubt(const es_setup *setup, const es_path_answer *a) {
  const es_doubt *d = &a->doubt;
  printf("How sure, one standard deviation each\n");
  for (int i = 0; i < ES_SIGMAS; i++)
    printf("  %-10s %5.1f dB  %s\n", es_sigma_names[i], d->spread.db[i], d->spread.basis[i]);
  printf("  %-10s %5.1f dB, with the ear's %.1f dB\n", "together", es_spread_level_db(&d->spread),
         es_spread_heard_db(&d->spread));
  printf("Met with that chance, %s together\n", setup->timed ? "time and model" : "all doubts");
  for (int c = 0; c < ES_CHANCES; c++)
    if (!isnan(d->snr_db[c]))
      printf("  %8g %%: level %.1f dBm, SNR %.1f dB in 2500 Hz\n", es_chance_percent[c], d->level_dbm[c], d->snr_db[c]);
}

void es_print_verdict(const es_path_answer *a) {
  static const int order[ES_CHANCES] = {2, 1, 0};
  const es_verdict *v = &a->verdict;
  printf("Verdict\n  %s\n", v->verdict);
  if (a->status == ES_OK) {
    printf("  best mode");
    const char *between = "";
    for (int i = 0; i < ES_CHANCES; i++) {
      int c = order[i];
      bool told = isnan(a->heard_percent) ? es_chance_percent[c] == 50.0 : !isnan(a->doubt.snr_db[c]);
      if (!told) continue;
      printf("%s %s at %g %%", between, v->best[c] != NULL ? v->best[c]->id : "none", es_chance_percent[c]);
      between = ",";
    }
    printf(" of the time\n");
  }
  printf("  What limits it: %s.\n", v->limit);
  if (v->helpful[0] != '\0') printf("  What would help: %s.\n", v->helpful);
}
