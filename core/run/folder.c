#include "run/folder.h"

#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "output/files.h"

static bool is_folder(const char *path) {
  struct stat s;
  return stat(path, &s) == 0 && S_ISDIR(s.st_mode);
}

/* Cuts the last name off; what is left is "." or "/" at the end of all names. */
static void to_parent(char *path) {
  size_t n = strlen(path);
  while (n > 1 && path[n - 1] == '/') n--;
  while (n > 0 && path[n - 1] != '/') n--;
  while (n > 1 && path[n - 1] == '/') n--;
  if (n == 0) path[n++] = '.';
  path[n] = '\0';
}

bool es_folder_check(const char *path, es_faults *faults) {
  size_t n = strlen(path);
  char *at = malloc(n + 2); /* room for "." */
  if (at == NULL || n == 0) {
    if (at == NULL) es_fault_memory(faults, NULL);
    if (n == 0) es_fault_add(faults, NULL, 0, "--output: no name, want a folder");
    free(at);
    return false;
  }
  memcpy(at, path, n + 1);
  while (access(at, F_OK) != 0 && errno == ENOENT && strcmp(at, ".") != 0 && strcmp(at, "/") != 0) to_parent(at);
  const char *why = NULL;
  if (access(at, F_OK) != 0)
    why = strerror(errno);
  else if (!is_folder(at))
    why = strerror(ENOTDIR);
  else if (access(at, W_OK | X_OK) != 0)
    why = strerror(errno);
  if (why != NULL) es_fault_add(faults, path, 0, "answers cannot be written there (%s): want a folder", why);
  free(at);
  return why == NULL;
}

int32_t es_folder_make(const char *path, es_error *err) {
  if (mkdir(path, 0777) == 0 || is_folder(path)) return 0;
  int reason = errno;
  char *parent = reason == ENOENT ? strdup(path) : NULL;
  int32_t status = ES_E_FILE;
  if (parent != NULL) {
    to_parent(parent);
    status = strcmp(parent, path) != 0 ? es_folder_make(parent, err) : ES_E_FILE;
    if (status == 0 && mkdir(path, 0777) != 0) status = ES_E_FILE, reason = errno;
  }
  free(parent);
  return status == 0 ? 0 : es_fail(err, ES_E_FILE, "%s: cannot be made (%s)", path, strerror(reason));
}

/* --- one run at a time ------------------------------------------------------------------------------------------------------- */

static int32_t no_memory(es_error *err) { return es_fail(err, ES_E_MEMORY, "out of memory"); }

/* The folder itself is locked: no file is needed, and none can be left. */
static int lock(const char *path, es_error *err) {
  int folder = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (folder >= 0 && flock(folder, LOCK_EX | LOCK_NB) == 0) return folder;
  if (folder >= 0 && errno == EWOULDBLOCK)
    es_fail(err, ES_E_INPUT, "another run is writing there: wait for its end, or name another folder");
  else
    es_fail(err, ES_E_FILE, "%s: cannot be locked (%s)", path, strerror(errno));
  if (folder >= 0) close(folder);
  return -1;
}

static bool clean(const char *path, const char *below) {
  char *folder = es_format("%s/%s", path, below);
  if (folder != NULL) es_files_clean(folder);
  free(folder);
  return folder != NULL;
}

int es_folder_hold(const char *path, es_error *err) {
  int held = lock(path, err);
  if (held < 0) return -1;
  if (clean(path, ".") && clean(path, ES_HIDDEN_FOLDER) && clean(path, "paths") && clean(path, "cards")) return held;
  no_memory(err);
  es_folder_release(held);
  return -1;
}

void es_folder_release(int held) {
  if (held >= 0) close(held);
}

int32_t es_folder_begin(const char *path, es_error *err) {
  char *name = es_format("%s/run.json", path);
  if (name == NULL) return no_memory(err);
  bool gone = unlink(name) == 0 || errno == ENOENT;
  int32_t status = gone ? 0 : es_fail(err, ES_E_FILE, "%s: cannot be replaced (%s)", name, strerror(errno));
  free(name);
  return status;
}

char *es_folder_temporary(es_error *err) {
  const char *above = getenv("TMPDIR");
  char *path = es_format("%s/earshot-XXXXXX", above != NULL && above[0] != '\0' ? above : "/tmp");
  if (path != NULL && mkdtemp(path) != NULL) return path;
  es_fail(err, ES_E_FILE, "%s: cannot be made (%s)", path != NULL ? path : "a folder", strerror(errno));
  free(path);
  return NULL;
}

static int drop(const char *path, const struct stat *s, int kind, struct FTW *at) {
  (void)s, (void)kind, (void)at;
  return remove(path);
}

void es_folder_drop(char *path) {
  enum { OPEN_FOLDERS = 8 };
  if (path != NULL) nftw(path, drop, OPEN_FOLDERS, FTW_DEPTH | FTW_PHYS);
  free(path);
}
