/* read.h - small typed readers over the tree. Each adds a fault "file:line: key=value: want ..." and goes on. */
#ifndef EARSHOT_JOB_READ_H
#define EARSHOT_JOB_READ_H

#include "job/keys.h"
#include "place/geodesic.h"

typedef struct es_reader {
  const es_tree *tree;
  const char *file;
  es_faults *faults;
} es_reader;

/* Fills `out` (the section's structure) with what is absent, then with what is there. Unknown and repeated keys,
 * wrong kinds and ranges are faults, and so are required keys that are missing; line 0 is used for those when
 * there is no node. */
void es_read_section(const es_reader *reader, es_node node, const es_section *section, void *out);

/* Value of a key of a map, ES_NO_NODE when it is not there; whether it is there at all, good or bad. */
es_node es_read_child(const es_reader *reader, es_node map, const char *name);
bool es_read_has(const es_reader *reader, es_node map, const char *name);

/* A fault about a value: "name=value: want ...". */
void es_read_fault(const es_reader *reader, const char *name, es_node node, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* NaN and a fault unless the node is one finite number within min..max. */
double es_read_number(const es_reader *reader, const char *name, es_node node, double min, double max,
                      const char *unit);
/* A list of numbers, or one. NULL and *n 0 on a fault. Caller frees. Limits are open when `open` is true. */
double *es_read_numbers(const es_reader *reader, const char *name, es_node node, double min, double max, bool open,
                        size_t *n);
/* Index of the text in "a|b|c"; -1 and a fault. */
int32_t es_read_choice(const es_reader *reader, const char *name, es_node node, const char *choices);

typedef enum es_place_kind { ES_PLACE_FAULTY, ES_PLACE_EXACT, ES_PLACE_ROUGH /* 6-character locator */ } es_place_kind;
es_place_kind es_read_place(const es_reader *reader, const char *name, es_node node, es_lonlat *out);

/* Path of a file that exists, relative ones beside the job file; NULL and a fault. Caller frees. */
typedef enum es_path_kind { ES_PATH_FILE, ES_PATH_FOLDER, ES_PATH_EITHER } es_path_kind;
char *es_read_path(const es_reader *reader, const char *name, es_node node, es_path_kind kind);
/* One path or a list of them; *n counts those that exist. NULL when there is none. Caller frees each and the array. */
char **es_read_paths(const es_reader *reader, const char *name, es_node node, size_t *n);
/* A list of texts, none twice. NULL when absent or faulty. Caller frees each and the array. */
char **es_read_texts(const es_reader *reader, const char *name, es_node node, size_t *n);

#endif
