#include "output/files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

static const char *base_name(const char *path) {
  const char *slash = strrchr(path, '/');
  return slash != NULL ? slash + 1 : path;
}

static char *folder_of(const char *path) {
  size_t n = (size_t)(base_name(path) - path);
  return n == 0 ? strdup(".") : strndup(path, n);
}

/* Hidden, beside the final name, same ending (some drivers look at it). */
static char *temporary_name(const char *path, int attempt) {
  int folder = (int)(base_name(path) - path);
  return es_format("%.*s.part-%ld-%d-%s", folder, path, (long)getpid(), attempt, base_name(path));
}

char *es_file_begin(const char *path) {
  for (int attempt = 0; attempt < 100; attempt++) {
    char *name = temporary_name(path, attempt);
    if (name == NULL) return NULL;
    int file = open(name, O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0666);
    if (file >= 0) {
      close(file);
      return name;
    }
    int reason = errno;
    free(name);
    errno = reason;
    if (reason != EEXIST) return NULL;
  }
  return NULL;
}

/* Removes what `old` says yes to. */
static void clean(const char *folder, bool (*old)(const char *name, const char *wanted), const char *wanted) {
  DIR *files = opendir(folder);
  if (files == NULL) return;
  for (const struct dirent *entry; (entry = readdir(files)) != NULL;)
    if (old(entry->d_name, wanted)) unlinkat(dirfd(files), entry->d_name, 0);
  closedir(files);
}

static bool begins_so(const char *name, const char *wanted) { return strncmp(name, wanted, strlen(wanted)) == 0; }

/* Drivers put files of their own beside the one they write, with longer names. */
void es_file_abandon(const char *temporary) {
  char *folder = temporary != NULL ? folder_of(temporary) : NULL;
  if (temporary != NULL) unlink(temporary);
  if (folder != NULL) clean(folder, begins_so, base_name(temporary));
  free(folder);
}

static bool is_of_the_dead(const char *name, const char *unused) {
  (void)unused;
  long pid;
  char end;
  if (sscanf(name, ".part-%ld%c", &pid, &end) != 2 || end != '-' || pid <= 0) return false;
  return pid == (long)getpid() || (kill((pid_t)pid, 0) != 0 && errno == ESRCH);
}

void es_files_clean(const char *folder) { clean(folder, is_of_the_dead, NULL); }

static bool same_bytes(FILE *a, FILE *b) {
  static const size_t BLOCK = 1 << 16;
  unsigned char *blocks = malloc(2 * BLOCK);
  bool same = blocks != NULL;
  for (bool more = same; more;) {
    size_t n = fread(blocks, 1, BLOCK, a), m = fread(blocks + BLOCK, 1, BLOCK, b);
    same = n == m && memcmp(blocks, blocks + BLOCK, n) == 0;
    more = same && n == BLOCK;
  }
  same = same && !ferror(a) && !ferror(b);
  free(blocks);
  return same;
}

static bool same_files(const char *one, const char *other) {
  struct stat s, t;
  if (lstat(one, &s) != 0 || lstat(other, &t) != 0 || s.st_size != t.st_size || !S_ISREG(t.st_mode)) return false;
  FILE *a = fopen(one, "rb"), *b = fopen(other, "rb");
  bool same = a != NULL && b != NULL && same_bytes(a, b);
  if (a != NULL) fclose(a);
  if (b != NULL) fclose(b);
  return same;
}

static bool sync_path(const char *path, int flags) {
  int file = open(path, flags | O_CLOEXEC);
  if (file < 0) return false;
  bool ok = fsync(file) == 0 || errno == EINVAL; /* EINVAL: this file system has nothing to sync */
  int reason = errno;
  close(file);
  errno = reason;
  return ok;
}

int32_t es_file_finish(const char *temporary, const char *path, es_error *err) {
  if (same_files(temporary, path)) {
    es_file_abandon(temporary);
    return ES_OK;
  }
  if (!sync_path(temporary, O_RDONLY) || rename(temporary, path) != 0) {
    int32_t status = es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
    es_file_abandon(temporary);
    return status;
  }
  char *folder = folder_of(path); /* so that the new name itself outlives a power cut; the file is whole either way */
  if (folder != NULL) sync_path(folder, O_RDONLY | O_DIRECTORY);
  free(folder);
  return ES_OK;
}

static bool write_all(const char *path, const void *bytes, size_t n) {
  FILE *file = fopen(path, "wb");
  if (file == NULL) return false;
  bool ok = fwrite(bytes, 1, n, file) == n;
  int reason = errno;
  if (fclose(file) != 0) return false;
  errno = reason;
  return ok;
}

int32_t es_file_write(const char *path, const void *bytes, size_t n, es_error *err) {
  char *temporary = es_file_begin(path);
  if (temporary == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
  int32_t status;
  if (write_all(temporary, bytes, n)) {
    status = es_file_finish(temporary, path, err);
  } else {
    status = es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
    es_file_abandon(temporary);
  }
  free(temporary);
  return status;
}

json_t *es_json_number(double value) { return isfinite(value) ? json_real(value) : json_null(); }
json_t *es_json_word(const char *text) { return text != NULL ? json_string_nocheck(text) : json_null(); }

int32_t es_json_write(const char *path, const json_t *json, es_error *err) {
  char *text = json_dumps(json, JSON_INDENT(2) | JSON_REAL_PRECISION(10) | JSON_ENCODE_ANY);
  if (text == NULL) return es_fail(err, ES_E_MEMORY, "%s: the JSON text cannot be formed", path);
  size_t n = strlen(text);
  text[n] = '\n'; /* in place of the closing zero, which is not written */
  int32_t status = es_file_write(path, text, n + 1, err);
  free(text);
  return status;
}
