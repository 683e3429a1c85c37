/* What a shared object declares about itself: a structure of any length with any numbers in it. Its pointers lead to texts
 * and settings of ours or nowhere (NULL): a pointer into the void cannot be told from a good one, see docs/security.md. */
#include "fuzz.h"

#include <math.h>

#include "model/models.h"

typedef struct source {
  const uint8_t *at;
  size_t left;
} source;

static uint64_t take(source *s, size_t bytes) {
  uint64_t value = 0;
  size_t n = bytes < s->left ? bytes : s->left;
  memcpy(&value, s->at, n);
  s->at += n;
  s->left -= n;
  return value;
}

static double take_number(source *s) {
  uint64_t bits = take(s, 8);
  double value;
  memcpy(&value, &bits, sizeof value);
  return value;
}

static const char *take_text(source *s) {
  static const char *const texts[] = {NULL, "", "a", "|", "one|two|three", "convention", "p526|p2001", "other"};
  return texts[take(s, 1) & 7];
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)task, (void)out, (void)err;
  return 0;
}

static int32_t create(const double *values, void **self, es_error *err) {
  (void)values, (void)self, (void)err;
  return 0;
}

/* Exactly `room` bytes on the heap, so that a byte too many is seen. */
static es_model *declare(source *s, size_t room, es_setting settings[4]) {
  es_model m = {.abi = ES_ABI + ((uint32_t)take(s, 1) & 1), .size = (uint32_t)take(s, 2)};
  if (take(s, 1) & 1) m.size = sizeof m;
  m.id = take_text(s);
  m.title = take_text(s);
  m.source = take_text(s);
  m.role = (int32_t)take(s, 1) % 8;
  m.touches = (uint32_t)take(s, 1);
  m.n_settings = take(s, 1) % 5;
  m.settings = take(s, 1) & 1 ? settings : NULL;
  m.evaluate = take(s, 1) & 3 ? evaluate : NULL;
  m.create = take(s, 1) & 1 ? create : NULL;
  for (int i = 0; i < 4; i++)
    settings[i] = (es_setting){take_text(s),   take_text(s),   take_text(s), take_number(s),
                               take_number(s), take_number(s), take_text(s)};
  es_model *exact = malloc(room > 0 ? room : 1);
  if (exact == NULL) abort();
  memcpy(exact, &m, room < sizeof m ? room : sizeof m);
  return exact;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  source s = {data, size};
  es_setting settings[4];
  char why[128] = "";
  size_t room = take(&s, 1) * 2;
  if (room > sizeof(es_model)) room = sizeof(es_model);
  es_model *declared = declare(&s, room, settings);
  es_loaded_model model = {0};
  if (es_model_take(declared, room, &model.is, why, sizeof why)) {
    es_faults faults = {0};
    char id[32] = "a", key[] = "convention", value[32] = "";
    take(&s, 1);
    size_t n = s.left < sizeof value - 1 ? s.left : sizeof value - 1;
    memcpy(value, s.at, n);
    es_model_setting given = {id, key, value, 1};
    if (es_model_ready(&model, &given, 1, "p2001", "job.yaml", &faults))
      for (size_t i = 0; i < model.is.n_settings; i++) {
        char text[64];
        es_setting_text(&model.is.settings[i], model.values[i], text, sizeof text);
      }
    free(model.values);
    es_faults_free(&faults);
  } else if (why[0] == '\0') {
    abort();
  }
  free(declared);
  return 0;
}
