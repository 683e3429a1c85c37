/* Source: XML 1.0, fifth edition, production [2] Char. */
#include "output/markup.h"

#include <glib.h>
#include <stdbool.h>

static bool is_xml(gunichar c) {
  return c == '\t' || c == '\n' || c == '\r' || (c >= 0x20 && c < 0x7F) || (c >= 0xA0 && c < 0xFFFE) || c > 0xFFFF;
}

void es_put_markup(FILE *out, const char *text) {
  if (text == NULL) return;
  char *valid = g_utf8_make_valid(text, -1);
  GString *kept = g_string_new(NULL);
  for (const char *c = valid; *c != '\0'; c = g_utf8_next_char(c)) {
    gunichar letter = g_utf8_get_char(c);
    g_string_append_unichar(kept, is_xml(letter) ? letter : ' ');
  }
  char *escaped = g_markup_escape_text(kept->str, -1);
  fputs(escaped, out);
  g_free(escaped);
  g_string_free(kept, TRUE);
  g_free(valid);
}
