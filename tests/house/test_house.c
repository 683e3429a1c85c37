/* test_house.c - reads every #include and proves that data flows down and nothing flows up.
 *
 * A file of core/ may include its own stage and earlier ones; a library belongs to the stages that are named for it; a model
 * includes the public header, C's own headers and its neighbours in plugins/. The picture is in docs/architecture.md.     */
#include "near.h"

#include <ctype.h>
#include <fts.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char *const stages[] = {"base",  "place", "ground", "station", "job", "radial",
                                     "model", "link",  "output", "run",     "cli"};
enum { STAGES = sizeof stages / sizeof stages[0] };

/* Headers of a library, by how their names begin, and the stages that may use it. */
typedef struct owner {
  const char *header, *stages;
} owner;
static const owner owners[] = {
    {"gdal", "ground station output"},
    {"ogr_", "ground station output"},
    {"cpl_", "ground station output"},
    {"proj.h", "place"},
    {"geodesic.h", "place"},
    {"yaml.h", "job"},
    {"png.h", "output"},
    {"cairo", "output"},
    {"pango", "output"},
    {"glib.h", "output"},
    {"zlib.h", "output"},
    {"dlfcn.h", "model"},
};

/* The standard headers of C11 and of the compiler, all that a model may use besides its own. */
static const char *const plain_c[] = {"complex.h", "errno.h",   "float.h",  "limits.h", "math.h",
                                      "stdarg.h",  "stdbool.h", "stddef.h", "stdint.h", "stdlib.h",
                                      "string.h",  "stdio.h",   "tgmath.h"};

static int stage_number(const char *name, size_t length) {
  for (int k = 0; k < STAGES; k++)
    if (strlen(stages[k]) == length && strncmp(stages[k], name, length) == 0) return k;
  return -1;
}

static bool has_word(const char *words, const char *word) {
  size_t length = strlen(word);
  for (const char *at = words; (at = strstr(at, word)); at += length) {
    bool begins = at == words || at[-1] == ' ', ends = at[length] == ' ' || at[length] == '\0';
    if (begins && ends) return true;
  }
  return false;
}

/* Takes the name out of `#include "name"` or `#include <name>`; returns its opening mark, or 0 for any other line. */
static char included(const char *line, char name[256]) {
  while (isspace((unsigned char)*line)) line++;
  if (*line != '#') return 0;
  for (line++; isspace((unsigned char)*line); line++) {
  }
  if (strncmp(line, "include", 7) != 0) return 0;
  for (line += 7; isspace((unsigned char)*line); line++) {
  }
  char close = *line == '"' ? '"' : *line == '<' ? '>' : '\0';
  const char *end = close ? strchr(line + 1, close) : NULL;
  if (!end || end - line > 255) return 0;
  snprintf(name, 256, "%.*s", (int)(end - line - 1), line + 1);
  return *line;
}

/* NULL when a file of `stage` may include `name`, else why not. */
static const char *core_fault(int stage, char mark, const char *name) {
  for (size_t k = 0; mark == '<' && k < sizeof owners / sizeof owners[0]; k++)
    if (strncmp(name, owners[k].header, strlen(owners[k].header)) == 0 && !has_word(owners[k].stages, stages[stage]))
      return "this library belongs to other stages";
  const char *slash = strchr(name, '/');
  if (mark == '<' || !slash || strncmp(name, "earshot/", 8) == 0) return NULL;
  int wanted = stage_number(name, (size_t)(slash - name));
  if (wanted < 0) return "not a stage";
  return wanted <= stage ? NULL : "a later stage";
}

/* NULL when a model may include `name`. */
static const char *model_fault(char mark, const char *name) {
  if (mark == '<') {
    for (size_t k = 0; k < sizeof plain_c / sizeof plain_c[0]; k++)
      if (strcmp(name, plain_c[k]) == 0) return NULL;
    return "a model uses C's own headers only";
  }
  const char *slash = strchr(name, '/');
  bool near = !slash || strncmp(name, "common/", 7) == 0 || strncmp(name, "earshot/", 8) == 0;
  return near ? NULL : "a model includes earshot/model.h and its neighbours only";
}

/* What is being read: a stage number, or -1 for plugins/. */
typedef struct reading {
  int stage, includes, faults;
} reading;

static void read_file(reading *r, const char *path) {
  FILE *file = fopen(path, "r");
  assert_non_null(file);
  char line[1024], name[256];
  for (long number = 1; fgets(line, sizeof line, file); number++) {
    char mark = included(line, name);
    if (!mark) continue;
    r->includes++;
    const char *fault = r->stage < 0 ? model_fault(mark, name) : core_fault(r->stage, mark, name);
    if (!fault) continue;
    r->faults++;
    print_error("%s:%ld: includes %s: %s\n", path, number, name, fault);
  }
  fclose(file);
}

static bool is_source(const char *name) {
  size_t length = strlen(name);
  return length > 2 && (strcmp(name + length - 2, ".c") == 0 || strcmp(name + length - 2, ".h") == 0);
}

static void read_folder(reading *r, const char *folder) {
  char path[512];
  snprintf(path, sizeof path, "%s", folder);
  char *roots[] = {path, NULL};
  FTS *walk = fts_open(roots, FTS_PHYSICAL | FTS_NOCHDIR, NULL);
  assert_non_null(walk);
  for (FTSENT *entry; (entry = fts_read(walk));)
    if (entry->fts_info == FTS_F && is_source(entry->fts_name)) read_file(r, entry->fts_path);
  fts_close(walk);
}

static void core_flows_down(void **state) {
  (void)state;
  int includes = 0, faults = 0;
  for (int k = 0; k < STAGES; k++) {
    char folder[64];
    snprintf(folder, sizeof folder, "core/%s", stages[k]);
    reading r = {.stage = k};
    read_folder(&r, folder);
    includes += r.includes;
    faults += r.faults;
  }
  assert_true(includes > 20); /* the test looked at the house and not at an empty folder */
  assert_int_equal(faults, 0);
}

static void models_stand_alone(void **state) {
  (void)state;
  reading r = {.stage = -1};
  read_folder(&r, "plugins");
  assert_int_equal(r.faults, 0);
}

/* A stage that is not in the list would escape the test above. */
static void every_folder_is_a_stage(void **state) {
  (void)state;
  char core[] = "core";
  char *roots[] = {core, NULL};
  FTS *walk = fts_open(roots, FTS_PHYSICAL | FTS_NOCHDIR, NULL);
  assert_non_null(walk);
  for (FTSENT *entry; (entry = fts_read(walk));)
    if (entry->fts_info == FTS_D && entry->fts_level == 1 && strcmp(entry->fts_name, "include") != 0)
      if (stage_number(entry->fts_name, strlen(entry->fts_name)) < 0)
        fail_msg("core/%s is not a stage", entry->fts_name);
  fts_close(walk);
}

/* The architecture page shows the same order. */
static void page_shows_the_order(void **state) {
  (void)state;
  FILE *page = fopen("docs/architecture.md", "r");
  assert_non_null(page);
  int next = 0;
  char line[1024], want[32];
  while (next < STAGES && fgets(line, sizeof line, page)) {
    snprintf(want, sizeof want, "core/%s/ ", stages[next]);
    if (strncmp(line, want, strlen(want)) == 0) next++;
  }
  fclose(page);
  if (next < STAGES) fail_msg("docs/architecture.md: no line for core/%s in its place", stages[next]);
}

/* The rules themselves, on lines made up to break them. */
static void rules_catch_faults(void **state) {
  (void)state;
  char name[256];
  int place = stage_number("place", 5), output = stage_number("output", 6), run = stage_number("run", 3);
  assert_int_equal(included("  #  include \"base/text.h\"\n", name), '"');
  assert_string_equal(name, "base/text.h");
  assert_int_equal(included("/* #include <x.h> */\n", name), 0);
  assert_null(core_fault(place, '"', "base/text.h"));
  assert_null(core_fault(place, '"', "place/frame.h"));
  assert_null(core_fault(run, '"', "output/output.h"));
  assert_non_null(core_fault(output, '"', "run/run.h"));
  assert_non_null(core_fault(place, '"', "ground/ground.h"));
  assert_non_null(core_fault(place, '"', "bass/text.h"));
  assert_non_null(core_fault(place, '<', "gdal.h"));
  assert_null(core_fault(place, '<', "geodesic.h"));
  assert_non_null(model_fault('"', "base/text.h"));
  assert_non_null(model_fault('<', "gdal.h"));
  assert_null(model_fault('"', "earshot/model.h"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(core_flows_down),         cmocka_unit_test(models_stand_alone),
      cmocka_unit_test(every_folder_is_a_stage), cmocka_unit_test(page_shows_the_order),
      cmocka_unit_test(rules_catch_faults),
  };
  return cmocka_run_group_tests_name("house", tests, NULL, NULL);
}
