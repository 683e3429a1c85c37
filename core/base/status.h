/* status.h - what a function answers when it can fail.
 *
 * The code says what to do, the detail says what happened. The library neither prints nor exits; core/cli does.
 * X(name, value, text): the enum and es_status_text() come from this one table.                                      */
#ifndef EARSHOT_BASE_STATUS_H
#define EARSHOT_BASE_STATUS_H

#include "earshot/model.h" /* es_error */

#define ES_STATUS_TABLE(X)                                                                                             \
  X(ES_E_INPUT, 10, "the input has a fault")                                                                           \
  X(ES_E_RANGE, 11, "outside the accepted range")                                                                      \
  X(ES_E_FILE, 12, "a file cannot be read or written")                                                                 \
  X(ES_E_MEMORY, 13, "out of memory")                                                                                  \
  X(ES_E_MODEL, 14, "a model cannot be used")                                                                          \
  X(ES_E_STOPPED, 15, "stopped part-way")                                                                              \
  X(ES_E_INTERNAL, 16, "an internal fault")

typedef enum es_code {
#define X(name, value, text) name = value,
  ES_STATUS_TABLE(X)
#undef X
} es_code;

const char *es_status_text(int32_t code);

/* Fills err (may be NULL) and returns code. The detail gives name=value and what was wanted; it is cut at 239 bytes. */
int32_t es_fail(es_error *err, int32_t code, const char *format, ...) __attribute__((format(printf, 3, 4)));

#endif
