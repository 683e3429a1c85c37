/* book.h - what is done in a folder of answers: so that a run that was stopped at any moment goes on where it stopped.
 *
 * OUT/.earshot-done holds a line for each file that is whole: its key (a number that stands for everything the file depends
 * on), its checksum, its size, its name. Lines are only ever added while a run lives. A line that was torn by a power cut,
 * or speaks of a file that has since changed, counts for nothing: the file is made again. The book is locked while a run
 * lives, so two runs never share a folder.

       file 1f0c9a5e3d7b2468 90ab12cd34ef5678 480432 map-level-18m-27dbm.png
       map  1f0c9a5e3d7b2468 4 2250000 812 0 0          key, files, then the counts of es_map_layers                       */
#ifndef EARSHOT_RUN_BOOK_H
#define EARSHOT_RUN_BOOK_H

#include <jansson.h>
#include <stdatomic.h>
#include <stdbool.h>

#include "base/status.h"
#include "run/map.h"

typedef struct es_book es_book;

/* Opens, locks and reads the book; removes temporary files that dead runs have left. NULL with err, ES_E_INPUT when another
 * run lives in the folder. `stop` (may be NULL) is looked at between files. */
es_book *es_book_open(const char *folder, const atomic_int *stop, es_error *err);
void es_book_close(es_book *book);

/* Whether a file (named as seen from the folder) has to be made; if not, it is there, whole and made from the same key.
 * ES_E_STOPPED when the run shall stop. */
int32_t es_book_wants(es_book *book, const char *name, uint64_t key, bool *wanted, es_error *err);
/* Enters a file that has just appeared. */
int32_t es_book_enter(es_book *book, const char *name, uint64_t key, es_error *err);
/* Writes a file of JSON unless the same is there. */
int32_t es_book_json(es_book *book, const char *name, const json_t *json, es_error *err);

/* A scenario's map is whole when it was entered and all its files (of either key) hold; counts are filled then. */
bool es_book_has_map(es_book *book, uint64_t raster_key, uint64_t sheet_key, es_map_layers *counts);
int32_t es_book_enter_map(es_book *book, uint64_t raster_key, uint64_t sheet_key, const es_map_layers *counts,
                          es_error *err);

/* The run is complete: removes files of earlier jobs that this one does not have (only those nobody has changed since) and
 * drops their lines. The last call before closing. */
int32_t es_book_finish(es_book *book, es_error *err);

#endif
