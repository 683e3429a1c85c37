/* starve.c - the program with a memory and a disk that fail once: linked in place of the C library's own calls (--wrap), so
 * only Earshot's calls are counted and can fail, not those of the libraries it uses.
 *
 *   EARSHOT_FAIL_MEMORY=n   the n-th allocation gives NULL
 *   EARSHOT_FAIL_DISK=n     the n-th open, read, write, fsync, rename, ... fails with EIO
 *   EARSHOT_FAIL_TRACE=1    says where that was
 *   EARSHOT_COUNT=FILE      at the end both counts are written there, then for each chain of calls that led to one a line:
 *                           MEMORY or DISK, the first and the last call from there                                      */
#include <dirent.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct counter {
  const char *variable;
  atomic_long n;
  long fails_at; /* -1: not asked yet; 0: never */
} counter;

static counter memory = {.variable = "EARSHOT_FAIL_MEMORY", .fails_at = -1},
               disk = {.variable = "EARSHOT_FAIL_DISK", .fails_at = -1};

/* A chain of calls that led here; hash 0: none. */
typedef struct place {
  uint64_t hash;
  const counter *of;
  long first, last;
} place;

enum { PLACES = 1 << 16, DEPTH = 40 };
static place places[PLACES];
static pthread_mutex_t places_lock = PTHREAD_MUTEX_INITIALIZER;

static void note_place(const counter *c, long n) {
  void *calls[DEPTH];
  int depth = backtrace(calls, DEPTH);
  uint64_t hash = 14695981039346656037u; /* FNV-1a over whole addresses */
  for (int i = 0; i < depth; i++) hash = (hash ^ (uint64_t)(uintptr_t)calls[i]) * 1099511628211u;
  pthread_mutex_lock(&places_lock);
  size_t at = hash % PLACES;
  while (places[at].hash != 0 && (places[at].hash != hash || places[at].of != c)) at = (at + 1) % PLACES;
  if (places[at].hash == 0) places[at] = (place){hash, c, n, n};
  places[at].last = n;
  pthread_mutex_unlock(&places_lock);
}

static bool fails(counter *c) {
  if (c->fails_at < 0) {
    const char *text = getenv(c->variable);
    c->fails_at = text != NULL ? atol(text) : 0;
  }
  long n = atomic_fetch_add(&c->n, 1) + 1;
  if (getenv("EARSHOT_COUNT") != NULL) note_place(c, n);
  if (n != c->fails_at) return false;
  void *calls[DEPTH];
  if (getenv("EARSHOT_FAIL_TRACE") != NULL) backtrace_symbols_fd(calls, backtrace(calls, DEPTH), STDERR_FILENO);
  return true;
}

static bool no_memory(void) {
  if (!fails(&memory)) return false;
  errno = ENOMEM;
  return true;
}

static bool no_disk(void) {
  if (!fails(&disk)) return false;
  errno = EIO;
  return true;
}

__attribute__((destructor)) static void tell(void) {
  const char *name = getenv("EARSHOT_COUNT");
  int file = name != NULL ? open(name, O_WRONLY | O_CREAT | O_TRUNC, 0666) : -1;
  if (file < 0) return;
  dprintf(file, "%ld %ld\n", atomic_load(&memory.n), atomic_load(&disk.n));
  for (const place *p = places; p < places + PLACES; p++)
    if (p->hash != 0) dprintf(file, "%s %ld %ld\n", p->of == &memory ? "MEMORY" : "DISK", p->first, p->last);
  close(file);
}

/* --- memory ------------------------------------------------------------------------------------------------------------------ */

#define WRAP(type, name, parameters, arguments, out, none)                                                             \
  type __real_##name parameters;                                                                                       \
  type __wrap_##name parameters;                                                                                       \
  type __wrap_##name parameters { return out() ? (none) : __real_##name arguments; }

WRAP(void *, malloc, (size_t n), (n), no_memory, NULL)
WRAP(void *, calloc, (size_t n, size_t size), (n, size), no_memory, NULL)
WRAP(void *, realloc, (void *old, size_t n), (old, n), no_memory, NULL)
WRAP(void *, aligned_alloc, (size_t align, size_t n), (align, n), no_memory, NULL)
WRAP(char *, strdup, (const char *text), (text), no_memory, NULL)
WRAP(char *, strndup, (const char *text, size_t n), (text, n), no_memory, NULL)
WRAP(int, vasprintf, (char **out, const char *format, va_list args), (out, format, args), no_memory, -1)
WRAP(FILE *, open_memstream, (char **bytes, size_t *n), (bytes, n), no_memory, NULL)

/* --- disk ---------------------------------------------------------------------------------------------------------------------- */

WRAP(int, fsync, (int file), (file), no_disk, -1)
WRAP(int, rename, (const char *from, const char *to), (from, to), no_disk, -1)
WRAP(ssize_t, write, (int file, const void *bytes, size_t n), (file, bytes, n), no_disk, -1)
WRAP(int, flock, (int file, int how), (file, how), no_disk, -1)
WRAP(int, ftruncate, (int file, off_t n), (file, n), no_disk, -1)
WRAP(int, mkdir, (const char *path, mode_t mode), (path, mode), no_disk, -1)
WRAP(DIR *, opendir, (const char *path), (path), no_disk, NULL)
WRAP(int, scandir,
     (const char *path, struct dirent ***list, int (*wanted)(const struct dirent *),
      int (*order)(const struct dirent **, const struct dirent **)),
     (path, list, wanted, order), no_disk, -1)
WRAP(FILE *, fdopen, (int file, const char *mode), (file, mode), no_disk, NULL)

int __real_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...) {
  va_list args;
  va_start(args, flags);
  mode_t mode = (flags & O_CREAT) != 0 ? va_arg(args, mode_t) : 0;
  va_end(args);
  return no_disk() ? -1 : __real_open(path, flags, mode);
}

/* A stream of ours around the real one, so that a read or write that fails leaves the error where feof and ferror look. */
static ssize_t stream_read(void *real, char *bytes, size_t n) {
  if (no_disk()) return -1;
  return (ssize_t)fread(bytes, 1, n, real);
}

static ssize_t stream_write(void *real, const char *bytes, size_t n) {
  return no_disk() ? 0 : (ssize_t)fwrite(bytes, 1, n, real);
}

static int stream_seek(void *real, off_t *at, int from) {
  if (fseeko(real, *at, from) != 0) return -1;
  *at = ftello(real);
  return *at < 0 ? -1 : 0;
}

static int stream_close(void *real) {
  bool bad = no_disk();
  return fclose(real) != 0 || bad ? -1 : 0; /* closed either way */
}

FILE *__real_fopen(const char *path, const char *mode);
FILE *__wrap_fopen(const char *path, const char *mode);
FILE *__wrap_fopen(const char *path, const char *mode) {
  FILE *real = no_disk() ? NULL : __real_fopen(path, mode);
  if (real == NULL) return NULL;
  return fopencookie(real, mode, (cookie_io_functions_t){stream_read, stream_write, stream_seek, stream_close});
}
