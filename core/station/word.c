#include "station/word.h"

#include <ctype.h>
#include <stdbool.h>
#include <string.h>

enum { LONGEST = 63 };

static int differs(char a, char b) { return tolower((unsigned char)a) != tolower((unsigned char)b); }

static size_t least(size_t a, size_t b, size_t c) {
  size_t ab = a < b ? a : b;
  return ab < c ? ab : c;
}

size_t es_word_distance(const char *a, const char *b) {
  size_t na = strlen(a), nb = strlen(b), rows[3][LONGEST + 1];
  if (na > LONGEST || nb > LONGEST) return LONGEST + 1;
  for (size_t i = 0; i <= na; i++) {
    size_t *now = rows[i % 3], *last = rows[(i + 2) % 3], *before = rows[(i + 1) % 3];
    now[0] = i;
    for (size_t j = 1; j <= nb; j++) {
      if (i == 0)
        now[j] = j;
      else
        now[j] = least(last[j] + 1, now[j - 1] + 1, last[j - 1] + (size_t)differs(a[i - 1], b[j - 1]));
      bool swapped = i > 1 && j > 1 && !differs(a[i - 1], b[j - 2]) && !differs(a[i - 2], b[j - 1]);
      if (swapped && before[j - 2] + 1 < now[j]) now[j] = before[j - 2] + 1;
    }
  }
  return rows[na % 3][nb];
}

void es_nearest_offer(es_nearest *nearest, const char *known) {
  size_t distance = es_word_distance(nearest->word, known), allowed = strlen(known) / 3;
  if (distance > (allowed > 1 ? allowed : 1)) return;
  if (nearest->best == NULL || distance < nearest->distance) {
    nearest->best = known;
    nearest->distance = distance;
  }
}
