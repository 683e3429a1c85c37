#include "base/faults.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool same_text(const char *a, const char *b) { return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0); }

static bool known(const es_faults *faults, const es_fault *fault) {
  for (size_t i = 0; i < faults->n; i++) {
    const es_fault *other = &faults->items[i];
    if (other->line == fault->line && other->note == fault->note && same_text(other->file, fault->file) &&
        same_text(other->text, fault->text))
      return true;
  }
  return false;
}

static bool make_room(es_faults *faults) {
  if (faults->n < faults->room) return true;
  size_t room = faults->room == 0 ? 16 : 2 * faults->room;
  es_fault *items = realloc(faults->items, room * sizeof *items);
  if (items == NULL) return false;
  faults->items = items;
  faults->room = room;
  return true;
}

void es_fault_memory(es_faults *faults, const char *file) {
  if (faults->no_memory) return;
  faults->no_memory = true;
  faults->no_memory_in = file != NULL ? strdup(file) : NULL;
  faults->n_faults++;
}

static void add(es_faults *faults, bool note, const char *file, long line, const char *format, va_list args) {
  if (faults->no_memory) return;
  char text[1024];
  vsnprintf(text, sizeof text, format, args);
  es_fault fault = {file != NULL ? strdup(file) : NULL, line, strdup(text), note};
  bool whole = fault.text != NULL && (file == NULL || fault.file != NULL), again = whole && known(faults, &fault);
  if (whole && !again && make_room(faults)) {
    faults->items[faults->n++] = fault;
    if (!note) faults->n_faults++;
    return;
  }
  if (!again) es_fault_memory(faults, file);
  free(fault.file);
  free(fault.text);
}

void es_fault_add(es_faults *faults, const char *file, long line, const char *format, ...) {
  va_list args;
  va_start(args, format);
  add(faults, false, file, line, format, args);
  va_end(args);
}

void es_note_add(es_faults *faults, const char *file, long line, const char *format, ...) {
  va_list args;
  va_start(args, format);
  add(faults, true, file, line, format, args);
  va_end(args);
}

void es_fault_error(es_faults *faults, const char *file, const es_error *err) {
  if (err->status == ES_E_MEMORY)
    es_fault_memory(faults, file);
  else
    es_fault_add(faults, file, 0, "%s", err->detail);
}

void es_faults_free(es_faults *faults) {
  for (size_t i = 0; i < faults->n; i++) {
    free(faults->items[i].file);
    free(faults->items[i].text);
  }
  free(faults->items);
  free(faults->no_memory_in);
  *faults = (es_faults){0};
}
