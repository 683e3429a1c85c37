/* together.h - all ways of an answer as one: ITU-R P.2001-6 section 5. Pure; any thread with its own arena. */
#ifndef EARSHOT_MODEL_TOGETHER_H
#define EARSHOT_MODEL_TOGETHER_H

#include "model/chain.h"

/* Fills basic_db, system_db, winner and status, which are there, from the ways. correlated: the duct comes and goes with the
 * surface way. 0, or ES_E_MEMORY. */
int32_t es_ways_together(es_arena *keep, bool correlated, es_chain_answer *answer);
/* Makes and fills free_ends_basic_db and free_ends_system_db: as if no end lost anything. 0, or ES_E_MEMORY. */
int32_t es_ways_without_ends(es_arena *keep, bool correlated, es_chain_answer *answer);

#endif
