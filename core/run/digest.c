/* digest.c - the answer as a letter to a mailing list: plain text, 72 columns. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "run/report_parts.h"

enum { NAME_COLUMNS = 26 };

static const char *text_of(const json_t *object, const char *key) {
  const char *text = json_string_value(json_object_get(object, key));
  return text != NULL ? text : "";
}

static bool continues(char c) { return ((unsigned char)c & 0xC0) == 0x80; }

/* Letters, not bytes. Control characters count too: they are written as blanks. */
static size_t letters(const char *text, size_t bytes) {
  size_t n = 0;
  for (size_t i = 0; i < bytes; i++) n += !continues(text[i]);
  return n;
}

static void put_bytes(FILE *out, const char *text, size_t n) {
  for (size_t i = 0; i < n; i++) {
    if (text[i] == '\xC2' && i + 1 < n && text[i + 1] == '\xA0')
      fputc(' ', out), i++; /* no-break space */
    else
      fputc((unsigned char)text[i] < 0x20 ? ' ' : text[i], out);
  }
}

/* Breaks at blanks; a word longer than a line stands alone. */
static void put_wrapped(FILE *out, const char *text, size_t indent) {
  size_t column = 0;
  while (*text != '\0') {
    size_t n = strcspn(text, " \n"), wide = letters(text, n);
    if (column > 0 && column + 1 + wide > ES_DIGEST_COLUMNS) {
      fputc('\n', out);
      column = 0;
    }
    if (column == 0)
      for (size_t i = 0; i < indent; i++, column++) fputc(' ', out);
    else
      fputc(' ', out), column++;
    put_bytes(out, text, n);
    column += wide;
    text += n;
    text += strspn(text, " \n");
  }
  fputc('\n', out);
}

/* Where a text that was cut at byte n had better end: before a comma, else after a word, else where it was cut. */
static size_t neat_end(const char *text, size_t n) {
  size_t word = 0;
  for (size_t i = n; i > 0; i--) {
    if (text[i - 1] == ',') return i - 1;
    if (text[i] == ' ' && word == 0) word = i;
  }
  return word > 0 ? word : n;
}

/* At most `wide` columns; how many were used. */
static size_t put_short(FILE *out, const char *text, size_t wide) {
  size_t n = 0, used = 0;
  while (text[n] != '\0' && (continues(text[n]) || used < wide)) used += !continues(text[n++]);
  if (text[n] != '\0') n = neat_end(text, n);
  put_bytes(out, text, n);
  return letters(text, n);
}

/* Exactly `wide` columns: cut or filled. */
static void put_cut(FILE *out, const char *text, size_t wide) {
  for (size_t used = put_short(out, text, wide); used < wide; used++) fputc(' ', out);
}

static void percent_text(double percent, char out[8]) {
  if (isnan(percent))
    strcpy(out, "-");
  else if (percent < 1.0)
    strcpy(out, "<1 %");
  else if (percent > 99.0)
    strcpy(out, ">99 %");
  else
    snprintf(out, 8, "%.0f %%", percent);
}

static double number_of(const json_t *object, const char *key) {
  const json_t *value = json_object_get(object, key);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

static void put_row(FILE *out, const json_t *listener, const json_t *path, bool timed) {
  char heard[16];
  const char *best = json_string_value(json_array_get(json_object_get(path, "best"), 1));
  if (timed)
    percent_text(number_of(path, "heard_percent"), heard);
  else if (isnan(number_of(path, "snr_p50")))
    strcpy(heard, "-");
  else
    snprintf(heard, sizeof heard, "%+.0f dB", number_of(path, "snr_p50"));
  put_cut(out, text_of(listener, "name"), NAME_COLUMNS);
  fprintf(out, " %6.1f %03.0f %7s  ", number_of(listener, "km"), fmod(round(number_of(listener, "bearing_deg")), 360.0),
          heard);
  put_short(out, best != NULL ? best : "-", ES_DIGEST_COLUMNS - NAME_COLUMNS - 21);
  fputc('\n', out);
}

/* --- who hears it, best first --------------------------------------------------------------------------------------------------- */

typedef struct rank {
  double value;
  size_t listener;
} rank;

static int better_first(const void *a, const void *b) {
  const rank *x = a, *y = b;
  double u = isnan(x->value) ? -INFINITY : x->value, w = isnan(y->value) ? -INFINITY : y->value;
  if (u != w) return u > w ? -1 : 1;
  return x->listener < y->listener ? -1 : x->listener > y->listener;
}

static bool put_table(FILE *out, const json_t *data, bool timed) {
  const json_t *listeners = json_object_get(data, "listeners"),
               *paths = json_array_get(json_object_get(data, "paths"),
                                       (size_t)json_integer_value(json_object_get(data, "shown_first")));
  size_t n = json_array_size(listeners);
  rank *ranks = calloc(n + 1, sizeof *ranks);
  if (ranks == NULL) return false;
  for (size_t i = 0; i < n; i++)
    ranks[i] = (rank){number_of(json_array_get(paths, i), timed ? "heard_percent" : "snr_p50"), i};
  qsort(ranks, n, sizeof *ranks, better_first);
  put_cut(out, "Listener", NAME_COLUMNS);
  fprintf(out, "     km deg %7s  %s\n", timed ? "heard" : "SNR", timed ? "best mode half the time" : "best mode");
  for (size_t i = 0; i < ES_DIGEST_COLUMNS; i++) fputc('-', out);
  fputc('\n', out);
  for (size_t i = 0; i < n; i++)
    put_row(out, json_array_get(listeners, ranks[i].listener), json_array_get(paths, ranks[i].listener), timed);
  free(ranks);
  return true;
}

static void put_pairs(FILE *out, const json_t *pairs) {
  size_t i;
  const json_t *pair;
  json_array_foreach(pairs, i, pair) {
    put_wrapped(out, json_string_value(json_array_get(pair, 0)), 0);
    put_wrapped(out, json_string_value(json_array_get(pair, 1)), 2);
  }
}

static void put_beacon(FILE *out, const json_t *data) {
  const json_t *beacon = json_object_get(data, "beacon");
  char line[512];
  snprintf(line, sizeof line, "%.200s, locator %s, %.6f MHz.", text_of(data, "who"), text_of(beacon, "locator"),
           number_of(beacon, "frequency_mhz"));
  put_wrapped(out, line, 0);
  put_wrapped(out, text_of(data, "table_caption"), 0);
  put_wrapped(out, text_of(data, "method"), 0);
}

/* It comes with lines of its own. */
static void put_sheet(FILE *out, const char *text) {
  if (text[0] == '\0') return;
  fputc('\n', out);
  for (const char *line = text + strspn(text, "\n"); *line != '\0';) {
    size_t n = strcspn(line, "\n");
    put_bytes(out, line, n);
    fputc('\n', out);
    line += n + (line[n] == '\n');
  }
}

int32_t es_digest_write(const char *path, const json_t *data, es_error *err) {
  char *text = NULL;
  size_t n = 0;
  FILE *out = open_memstream(&text, &n);
  if (out == NULL) return es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  const json_t *answer = json_object_get(data, "answer");
  put_wrapped(out, text_of(answer, "title"), 0);
  fputc('\n', out);
  put_beacon(out, data);
  fputc('\n', out);
  put_pairs(out, json_object_get(answer, "facts"));
  fputc('\n', out);
  bool ok = json_array_size(json_object_get(data, "listeners")) == 0 ||
            put_table(out, data, json_is_true(json_object_get(data, "timed")));
  if (json_array_size(json_object_get(data, "cautions")) > 0) fputs("\nBeware\n\n", out);
  put_pairs(out, json_object_get(data, "cautions"));
  put_sheet(out, text_of(data, "sheet"));
  fputc('\n', out);
  put_wrapped(out, text_of(data, "foot"), 0);
  ok = fclose(out) == 0 && ok;
  int32_t status = ok ? es_file_write(path, text, n, err) : es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  free(text);
  return status;
}
