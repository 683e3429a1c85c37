#include "job/digest.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/checksum.h"
#include "base/text.h"

enum { DEEPEST = 64, PATH_ROOM = 512 };

typedef struct digest {
  const es_tree *tree;
  const char *job_path;
  es_faults *faults;
  uint64_t sum;
} digest;

/* What the scenarios and the record of the listeners say for themselves, and what no map hangs on. */
static const char *const left_out[] = {"listeners",
                                       "season",
                                       "beacon.antenna.height_m",
                                       "beacon.power.at_amplifier_dbm",
                                       "vary.height_m",
                                       "vary.power_dbm",
                                       "vary.season",
                                       "aim",
                                       "compare",
                                       "report"};
/* Rasters of which only some may be needed: those that are stand in the record with their checksums. */
static const char *const looked_at_later[] = {"ground.elevation", "ground.canopy_height", "ground.cover"};

static void mix(digest *d, const void *bytes, size_t n) {
  uint64_t pair[2] = {d->sum, es_checksum(bytes, n)};
  d->sum = es_checksum(pair, sizeof pair);
}

static void mix_file(digest *d, const char *path) {
  uint64_t sum[2];
  es_error err = {0};
  if (es_checksum_file(path, &sum[0], &sum[1], &err) == 0)
    mix(d, sum, sizeof sum);
  else
    es_fault_error(d->faults, NULL, &err);
}

static int is_shown(const struct dirent *entry) { return entry->d_name[0] != '.'; }

static bool is_kind(const char *path, mode_t kind) {
  struct stat s;
  return stat(path, &s) == 0 && (s.st_mode & S_IFMT) == kind;
}

static void mix_folder(digest *d, const char *folder) {
  struct dirent **entries;
  int n = scandir(folder, &entries, is_shown, alphasort);
  if (n < 0) es_fault_add(d->faults, folder, 0, "cannot be read (%s)", strerror(errno));
  for (int i = 0; i < n; i++) {
    char *path = es_format("%s/%s", folder, entries[i]->d_name);
    mix(d, entries[i]->d_name, strlen(entries[i]->d_name));
    if (path == NULL) es_fault_memory(d->faults, folder);
    if (path != NULL && is_kind(path, S_IFREG)) mix_file(d, path);
    free(path);
    free(entries[i]);
  }
  if (n >= 0) free(entries);
}

/* A text that names a file beside the job: the file's contents count too. */
static void mix_text(digest *d, const char *text, bool look) {
  mix(d, text, strlen(text));
  look = look && text[0] != '\0';
  char *path = look ? es_path_beside(d->job_path, text) : NULL;
  if (look && path == NULL) es_fault_memory(d->faults, d->job_path);
  if (path != NULL && is_kind(path, S_IFREG)) mix_file(d, path);
  if (path != NULL && is_kind(path, S_IFDIR)) mix_folder(d, path);
  free(path);
}

static bool is_among(const char *where, const char *const *names, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (strcmp(where, names[i]) == 0) return true;
  return false;
}
#define IS_AMONG(where, names) is_among((where), (names), sizeof(names) / sizeof *(names))

/* `where` is the path of keys down to the node, parted by points. */
static void mix_node(digest *d, es_node node, const char *where, int depth) {
  es_node_kind kind = es_tree_kind(d->tree, node);
  size_t n = es_tree_count(d->tree, node);
  if (depth == DEEPEST) return;
  mix(d, &(unsigned char){(unsigned char)kind}, 1);
  if (kind == ES_NODE_TEXT) mix_text(d, es_tree_text(d->tree, node), !IS_AMONG(where, looked_at_later));
  for (size_t i = 0; kind == ES_NODE_LIST && i < n; i++) mix_node(d, es_tree_item(d->tree, node, i), where, depth + 1);
  for (size_t i = 0; kind == ES_NODE_MAP && i < n; i++) {
    const char *key = es_tree_text(d->tree, es_tree_key(d->tree, node, i));
    char below[PATH_ROOM];
    snprintf(below, sizeof below, "%s%s%s", where, where[0] != '\0' ? "." : "", key);
    if (IS_AMONG(below, left_out)) continue;
    mix(d, key, strlen(key));
    mix_node(d, es_tree_value(d->tree, node, i), below, depth + 1);
  }
}

uint64_t es_job_digest(const es_tree *tree, const char *job_path, es_faults *faults) {
  digest d = {tree, job_path, faults, 0};
  mix_node(&d, es_tree_root(tree), "", 0);
  return d.sum;
}
