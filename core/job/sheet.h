/* sheet.h - what the job file says for the beacon's sheet and the cards. */
#ifndef EARSHOT_JOB_SHEET_H
#define EARSHOT_JOB_SHEET_H

#include "job/job.h"
#include "job/read.h"

void es_sheet_read(const es_reader *reader, es_node node, es_sheet_plan *out);
/* A text that is absent becomes call and 6-character locator. */
void es_keying_read(const es_reader *reader, es_node node, const es_beacon *beacon, es_keying *out);

#endif
