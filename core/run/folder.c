#include "run/folder.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

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
    es_fault_add(faults, NULL, 0, at == NULL ? "out of memory" : "--output: no name, want a folder");
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
