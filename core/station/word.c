#include "station/word.h"

#include <ctype.h>
#include <string.h>

enum { LONGEST = 63 };

static int differs(char a, char b) { return tolower((unsigned char)a) != tolower((unsigned char)b); }

static size_t least(size_t a, size_t b, size_t c) {
  size_t ab = a < b ? a : b;
  return ab < c ? ab : c;
}

size_t es_word_distance(const char *a, const char *b) {
  size_t na = strlen(a), nb = strlen(b), row[LONGEST + 1];
  if (na > LONGEST || nb > LONGEST) return LONGEST + 1;
  for (size_t j = 0; j <= nb; j++) row[j] = j;
  for (size_t i = 1; i <= na; i++) {
    size_t corner = row[0]; /* distance of the two beginnings one letter shorter */
    row[0] = i;
    for (size_t j = 1; j <= nb; j++) {
      size_t above = row[j];
      row[j] = least(above + 1, row[j - 1] + 1, corner + (size_t)differs(a[i - 1], b[j - 1]));
      corner = above;
    }
  }
  return row[nb];
}

void es_nearest_offer(es_nearest *nearest, const char *known) {
  size_t distance = es_word_distance(nearest->word, known), allowed = strlen(known) / 3;
  if (distance > (allowed > 1 ? allowed : 1)) return;
  if (nearest->best == NULL || distance < nearest->distance) {
    nearest->best = known;
    nearest->distance = distance;
  }
}
