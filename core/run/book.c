#include "run/book.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/checksum.h"
#include "base/text.h"
#include "output/files.h"

static const char BOOK_NAME[] = ".earshot-done", RECORD_NAME[] = "run.json";

typedef struct entry {
  char *name; /* NULL: a whole map */
  uint64_t key, checksum, bytes;
  size_t n_files; /* of a map */
  es_map_layers counts;
  bool used; /* by this run */
} entry;

struct es_book {
  char *folder;
  const atomic_int *stop;
  entry *items;
  size_t n, room;
  size_t *slots; /* by hash: 1 + index, 0 empty; twice as many as there is room */
  int file;      /* open and locked as long as the book is */
};

static int32_t no_memory(es_error *err) { return es_fail(err, ES_E_MEMORY, "out of memory"); }

static char *path_of(const es_book *book, const char *name) { return es_format("%s/%s", book->folder, name); }

/* --- lines ------------------------------------------------------------------------------------------------------------------- */

static bool is_that(const entry *e, const char *name, uint64_t map_key) {
  return name != NULL ? e->name != NULL && strcmp(e->name, name) == 0 : e->name == NULL && e->key == map_key;
}

/* Where that entry is noted, or the empty slot where it would be. There is always an empty one. */
static size_t *slot_for(const es_book *book, const char *name, uint64_t map_key) {
  size_t mask = 2 * book->room - 1;
  size_t at = (size_t)(name != NULL ? es_checksum(name, strlen(name)) : map_key) & mask;
  while (book->slots[at] != 0 && !is_that(&book->items[book->slots[at] - 1], name, map_key)) at = (at + 1) & mask;
  return &book->slots[at];
}

static bool make_room(es_book *book) {
  if (book->n < book->room) return true;
  size_t room = book->room == 0 ? 64 : 2 * book->room;
  entry *items = realloc(book->items, room * sizeof *items);
  if (items != NULL) book->items = items;
  size_t *slots = items != NULL ? calloc(2 * room, sizeof *slots) : NULL;
  if (slots == NULL) return false;
  free(book->slots);
  book->slots = slots;
  book->room = room;
  for (size_t i = 0; i < book->n; i++) *slot_for(book, items[i].name, items[i].key) = i + 1;
  return true;
}

/* The entry of a file, or of a map by its key, or a new one; NULL out of memory. */
static entry *entry_for(es_book *book, const char *name, uint64_t map_key) {
  if (!make_room(book)) return NULL;
  size_t *slot = slot_for(book, name, map_key);
  if (*slot != 0) return &book->items[*slot - 1];
  entry e = {.name = name != NULL ? strdup(name) : NULL, .key = map_key};
  if (name != NULL && e.name == NULL) return NULL;
  book->items[book->n] = e;
  *slot = ++book->n;
  return &book->items[*slot - 1];
}

static char *line_of(const entry *e) {
  if (e->name != NULL)
    return es_format("file %016" PRIx64 " %016" PRIx64 " %" PRIu64 " %s\n", e->key, e->checksum, e->bytes, e->name);
  return es_format("map %016" PRIx64 " %zu %zu %zu %zu %zu\n", e->key, e->n_files, e->counts.n_cells, e->counts.missing,
                   e->counts.outside, e->counts.failed);
}

/* False out of memory only: a line that makes no sense is passed over. */
static bool take_line(es_book *book, const char *line) {
  uint64_t key, checksum, bytes;
  int name_at = 0;
  entry e = {0};
  if (sscanf(line, "file %16" SCNx64 " %16" SCNx64 " %" SCNu64 " %n", &key, &checksum, &bytes, &name_at) == 3 &&
      name_at > 0 && line[name_at] != '\0' && line[name_at] != '/' && strstr(line, "..") == NULL) {
    entry *at = entry_for(book, line + name_at, key);
    if (at != NULL) at->key = key, at->checksum = checksum, at->bytes = bytes;
    return at != NULL;
  }
  if (sscanf(line, "map %16" SCNx64 " %zu %zu %zu %zu %zu", &key, &e.n_files, &e.counts.n_cells, &e.counts.missing,
             &e.counts.outside, &e.counts.failed) == 6) {
    entry *at = entry_for(book, NULL, key);
    if (at != NULL) at->n_files = e.n_files, at->counts = e.counts;
    return at != NULL;
  }
  return true;
}

static bool write_all(int file, const char *text, size_t n) {
  for (size_t done = 0; done < n;) {
    ssize_t wrote = write(file, text + done, n - done);
    if (wrote < 0 && errno != EINTR) return false;
    if (wrote > 0) done += (size_t)wrote;
  }
  return true;
}

static int32_t add_line(es_book *book, const entry *e, es_error *err) {
  char *line = line_of(e);
  if (line == NULL) return no_memory(err);
  bool ok = write_all(book->file, line, strlen(line));
  free(line);
  return ok ? 0 : es_fail(err, ES_E_FILE, "%s/%s: cannot be written (%s)", book->folder, BOOK_NAME, strerror(errno));
}

/* --- opening ---------------------------------------------------------------------------------------------------------------- */

static int32_t read_lines(es_book *book, es_error *err) {
  int copy = dup(book->file);
  FILE *in = copy >= 0 ? fdopen(copy, "r") : NULL;
  if (in == NULL) {
    if (copy >= 0) close(copy);
    return es_fail(err, ES_E_FILE, "%s/%s: cannot be read (%s)", book->folder, BOOK_NAME, strerror(errno));
  }
  char *line = NULL;
  size_t room = 0;
  ssize_t n;
  bool ok = true, torn = false;
  while (ok && (n = getline(&line, &room, in)) > 0) {
    torn = line[n - 1] != '\n';
    if (!torn) line[n - 1] = '\0';
    if (!torn) ok = take_line(book, line);
  }
  bool bad = ferror(in) != 0;
  free(line);
  fclose(in);
  if (!ok) return no_memory(err);
  if (bad || (torn && !write_all(book->file, "\n", 1))) /* the next line begins a line of its own */
    return es_fail(err, ES_E_FILE, "%s/%s: cannot be read (%s)", book->folder, BOOK_NAME, strerror(errno));
  return 0;
}

static int32_t lock_and_read(es_book *book, es_error *err) {
  char *path = path_of(book, BOOK_NAME);
  if (path == NULL) return no_memory(err);
  book->file = open(path, O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
  int32_t status = 0;
  if (book->file < 0)
    status = es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
  else if (flock(book->file, LOCK_EX | LOCK_NB) != 0)
    status = errno == EWOULDBLOCK
                 ? es_fail(err, ES_E_INPUT, "another run is writing there: wait for its end, or name another folder")
                 : es_fail(err, ES_E_FILE, "%s: cannot be locked (%s)", path, strerror(errno));
  free(path);
  return status != 0 ? status : read_lines(book, err);
}

static int32_t clean(const es_book *book, es_error *err) {
  char *paths = path_of(book, "paths");
  if (paths == NULL) return no_memory(err);
  es_files_clean(book->folder);
  es_files_clean(paths);
  free(paths);
  return 0;
}

es_book *es_book_open(const char *folder, const atomic_int *stop, es_error *err) {
  es_book *book = calloc(1, sizeof *book);
  if (book != NULL) *book = (es_book){.folder = strdup(folder), .stop = stop, .file = -1};
  int32_t status = book == NULL || book->folder == NULL ? no_memory(err) : lock_and_read(book, err);
  if (status == 0) status = clean(book, err);
  if (status == 0) return book;
  es_book_close(book);
  return NULL;
}

void es_book_close(es_book *book) {
  if (book == NULL) return;
  for (size_t i = 0; i < book->n; i++) free(book->items[i].name);
  free(book->items);
  free(book->slots);
  if (book->file >= 0) close(book->file);
  free(book->folder);
  free(book);
}

/* --- files ---------------------------------------------------------------------------------------------------------------------- */

/* The file is there with the bytes it was entered with. */
static bool holds(const es_book *book, const entry *e) {
  char *path = path_of(book, e->name);
  struct stat s;
  uint64_t checksum, bytes;
  bool ok = path != NULL && stat(path, &s) == 0 && S_ISREG(s.st_mode) && (uint64_t)s.st_size == e->bytes &&
            es_checksum_file(path, &checksum, &bytes, NULL) == 0 && checksum == e->checksum && bytes == e->bytes;
  free(path);
  return ok;
}

/* run.json speaks for all files together: it goes before the first of them is changed. */
static int32_t drop_record(const es_book *book, es_error *err) {
  char *path = path_of(book, RECORD_NAME);
  if (path == NULL) return no_memory(err);
  bool ok = unlink(path) == 0 || errno == ENOENT;
  free(path);
  return ok ? 0 : es_fail(err, ES_E_FILE, "%s/%s: cannot be replaced (%s)", book->folder, RECORD_NAME, strerror(errno));
}

int32_t es_book_wants(es_book *book, const char *name, uint64_t key, bool *wanted, es_error *err) {
  if (book->stop != NULL && atomic_load(book->stop) != 0) return es_fail(err, ES_E_STOPPED, "stopped by a signal");
  entry *e = entry_for(book, name, key);
  if (e == NULL) return no_memory(err);
  *wanted = e->key != key || !holds(book, e);
  e->used = true;
  return *wanted ? drop_record(book, err) : 0;
}

int32_t es_book_enter(es_book *book, const char *name, uint64_t key, es_error *err) {
  entry *e = entry_for(book, name, key);
  char *path = e != NULL ? path_of(book, name) : NULL;
  if (path == NULL) return no_memory(err);
  int32_t status = es_checksum_file(path, &e->checksum, &e->bytes, err);
  free(path);
  if (status != 0) return status;
  e->key = key;
  e->used = true;
  return add_line(book, e, err);
}

int32_t es_book_json(es_book *book, const char *name, const json_t *json, es_error *err) {
  size_t n;
  char *text = es_json_text(json, &n), *path = path_of(book, name);
  bool wanted = false;
  uint64_t key = text != NULL ? es_checksum(text, n) : 0;
  int32_t status = text == NULL || path == NULL ? no_memory(err) : es_book_wants(book, name, key, &wanted, err);
  if (status == 0 && wanted) {
    status = es_file_write(path, text, n, err);
    if (status == 0) status = es_book_enter(book, name, key, err);
  }
  free(text);
  free(path);
  return status;
}

/* --- maps ----------------------------------------------------------------------------------------------------------------------- */

static bool belongs(const entry *e, uint64_t raster_key, uint64_t sheet_key) {
  return e->name != NULL && (e->key == raster_key || e->key == sheet_key);
}

bool es_book_has_map(es_book *book, uint64_t raster_key, uint64_t sheet_key, es_map_layers *counts) {
  size_t held = 0;
  entry *map = NULL;
  for (size_t i = 0; i < book->n; i++) {
    entry *e = &book->items[i];
    if (e->name == NULL && e->key == sheet_key) map = e;
    if (belongs(e, raster_key, sheet_key)) held += holds(book, e);
  }
  if (map == NULL || map->n_files == 0 || held != map->n_files) return false;
  for (size_t i = 0; i < book->n; i++) book->items[i].used |= belongs(&book->items[i], raster_key, sheet_key);
  map->used = true;
  *counts = map->counts;
  return true;
}

int32_t es_book_enter_map(es_book *book, uint64_t raster_key, uint64_t sheet_key, const es_map_layers *counts,
                          es_error *err) {
  entry *map = entry_for(book, NULL, sheet_key);
  if (map == NULL) return no_memory(err);
  map->n_files = 0;
  for (size_t i = 0; i < book->n; i++)
    map->n_files += book->items[i].used && belongs(&book->items[i], raster_key, sheet_key);
  map->counts = *counts;
  map->used = true;
  return add_line(book, map, err);
}

/* --- the end ----------------------------------------------------------------------------------------------------------------------- */

static void remove_old(const es_book *book, const entry *e) {
  char *path = e->name != NULL && holds(book, e) ? path_of(book, e->name) : NULL;
  if (path != NULL) unlink(path);
  free(path);
}

/* Written over the old lines from the top, then cut: whatever a power cut leaves is a mixture of true lines and one torn. */
static bool rewrite(const es_book *book, const char *text, size_t n) {
  int flags = fcntl(book->file, F_GETFL);
  return flags >= 0 && fcntl(book->file, F_SETFL, flags & ~O_APPEND) == 0 && lseek(book->file, 0, SEEK_SET) == 0 &&
         write_all(book->file, text, n) && ftruncate(book->file, (off_t)n) == 0;
}

/* Maps first, then files by name: an order that does not tell how often the run was stopped. */
static int by_name(const void *a, const void *b) {
  const entry *x = a, *y = b;
  if (x->name != NULL && y->name != NULL) return strcmp(x->name, y->name);
  if (x->name != NULL || y->name != NULL) return x->name != NULL ? 1 : -1;
  return x->key < y->key ? -1 : x->key > y->key;
}

int32_t es_book_finish(es_book *book, es_error *err) {
  char *text = NULL;
  size_t n = 0;
  FILE *out = open_memstream(&text, &n);
  if (out == NULL) return no_memory(err);
  memset(book->slots, 0, 2 * book->room * sizeof *book->slots); /* the order changes; nothing is looked up any more */
  qsort(book->items, book->n, sizeof *book->items, by_name);
  bool ok = true;
  for (size_t i = 0; i < book->n; i++) {
    const entry *e = &book->items[i];
    char *line = e->used ? line_of(e) : NULL;
    ok &= !e->used || line != NULL;
    if (line != NULL) fputs(line, out);
    if (!e->used) remove_old(book, e);
    free(line);
  }
  ok &= fclose(out) == 0;
  if (!ok)
    no_memory(err);
  else if (!(ok = rewrite(book, text, n)))
    es_fail(err, ES_E_FILE, "%s/%s: cannot be written (%s)", book->folder, BOOK_NAME, strerror(errno));
  free(text);
  return ok ? 0 : err->status;
}
