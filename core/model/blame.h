/* blame.h - whose code runs in this thread just now: so that a signal that a model raises can be told with its name.
 *
 * The one thing in the library that is not handed over as an argument: a signal handler is handed nothing. Each thread has
 * its own.                                                                                                               */
#ifndef EARSHOT_MODEL_BLAME_H
#define EARSHOT_MODEL_BLAME_H

/* Before a model's code is called (its id, or the path of its library), and NULL afterwards. Borrowed. */
void es_blame(const char *model);
/* NULL: our own code. Safe in a signal handler. */
const char *es_blamed(void);

#endif
