/* report_parts.h - what the files that gather the report share. Internal to core/run. */
#ifndef EARSHOT_RUN_REPORT_PARTS_H
#define EARSHOT_RUN_REPORT_PARTS_H

#include "output/output.h"
#include "run/report.h"

typedef struct es_report_view {
  const es_setup *setup;
  const es_percentages *percents;
  const es_listener_answers *answers;
  const es_heights *heights;
  size_t shown;         /* the scenario shown first: the one recommended */
  const char *decision; /* which scenario is the best, in words; "" when there is no choice */
} es_report_view;

/* report_answer.c: the recommendation, its facts, the cautions. */
json_t *es_report_answer(const es_report_view *view);   /* {"title", "facts": [[bold, more]]} */
json_t *es_report_cautions(const es_report_view *view); /* [[bold, more]] */
/* report_path.c: a listener in a scenario, as the page wants it. */
json_t *es_report_path(const es_report_view *view, size_t scenario, size_t listener);
/* Figure that marks and colours stand for: the share heard, or the median SNR of a chain without time. */
double es_report_value(const es_report_view *view, size_t scenario, size_t listener);
const char *es_shape_name(es_mark_shape shape);
/* digest.c: plain text from the report's JSON. */
enum { ES_DIGEST_COLUMNS = 72 };
int32_t es_digest_write(const char *path, const json_t *data, es_error *err);

#endif
