/* csv.c - tables as text after RFC 4180: commas, CR LF, quotes doubled inside quotes. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/files.h"
#include "output/table.h"

static void put_text(FILE *out, const char *text) {
  if (strpbrk(text, ",\"\r\n") == NULL) {
    fputs(text, out);
    return;
  }
  putc('"', out);
  for (const char *c = text; *c != '\0'; c++) {
    if (*c == '"') putc('"', out);
    putc(*c, out);
  }
  putc('"', out);
}

/* Rounded to its decimals; a value that rounds to zero carries no sign. The program never leaves the C locale. */
static void put_number(FILE *out, double value, int decimals) {
  if (isnan(value)) return;
  if (fabs(value) < 0.5 * pow(10.0, -decimals)) value = 0.0;
  fprintf(out, "%.*f", decimals, value);
}

static void put_cell(FILE *out, const es_field *field, const es_cell *cell) {
  if (field->kind == ES_FIELD_TEXT) {
    if (cell->text != NULL) put_text(out, cell->text);
  } else {
    put_number(out, cell->number, field->kind == ES_FIELD_WHOLE ? 0 : field->decimals);
  }
}

static void put_table(FILE *out, const es_field *fields, size_t n_fields, const es_cell *cells, size_t n_rows) {
  for (size_t k = 0; k < n_fields; k++) {
    if (k > 0) putc(',', out);
    put_text(out, fields[k].name);
  }
  fputs("\r\n", out);
  for (size_t i = 0; i < n_rows; i++) {
    for (size_t k = 0; k < n_fields; k++) {
      if (k > 0) putc(',', out);
      put_cell(out, &fields[k], &cells[i * n_fields + k]);
    }
    fputs("\r\n", out);
  }
}

int32_t es_csv_write(const char *path, const es_field *fields, size_t n_fields, const es_cell *cells, size_t n_rows,
                     es_error *err) {
  char *bytes = NULL;
  size_t n = 0;
  FILE *out = open_memstream(&bytes, &n);
  if (out == NULL) return es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  put_table(out, fields, n_fields, cells, n_rows);
  bool bad = ferror(out) != 0;
  bad |= fclose(out) != 0;
  int32_t status = bad ? es_fail(err, ES_E_MEMORY, "%s: out of memory", path) : es_file_write(path, bytes, n, err);
  free(bytes);
  return status;
}
