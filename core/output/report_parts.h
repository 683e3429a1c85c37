/* report_parts.h - the pieces of the report that stand without a script. Internal to core/output. */
#ifndef EARSHOT_OUTPUT_REPORT_PARTS_H
#define EARSHOT_OUTPUT_REPORT_PARTS_H

#include <jansson.h>
#include <stdio.h>

void es_report_put_answer(FILE *out, const json_t *data);
void es_report_put_cautions(FILE *out, const json_t *data, size_t most);
void es_report_put_table(FILE *out, const json_t *data);

#endif
