#include "station/keying.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const double FADING = 5.0;  /* K of A1A, SM.1138-3 */
static const double SHIFTED = 1.2; /* K of F1, SM.1138-3: usual value */

/* International Morse code, ITU-R M.1677-1. */
static const struct {
  char character;
  const char *code;
} codes[] = {{'A', ".-"},     {'B', "-..."},   {'C', "-.-."},   {'D', "-.."},    {'E', "."},      {'F', "..-."},
             {'G', "--."},    {'H', "...."},   {'I', ".."},     {'J', ".---"},   {'K', "-.-"},    {'L', ".-.."},
             {'M', "--"},     {'N', "-."},     {'O', "---"},    {'P', ".--."},   {'Q', "--.-"},   {'R', ".-."},
             {'S', "..."},    {'T', "-"},      {'U', "..-"},    {'V', "...-"},   {'W', ".--"},    {'X', "-..-"},
             {'Y', "-.--"},   {'Z', "--.."},   {'0', "-----"},  {'1', ".----"},  {'2', "..---"},  {'3', "...--"},
             {'4', "....-"},  {'5', "....."},  {'6', "-...."},  {'7', "--..."},  {'8', "---.."},  {'9', "----."},
             {'/', "-..-."},  {'.', ".-.-.-"}, {',', "--..--"}, {'?', "..--.."}, {'=', "-...-"},  {'+', ".-.-."},
             {'-', "-....-"}, {'@', ".--.-."}, {':', "---..."}, {'(', "-.--."},  {')', "-.--.-"}, {'\'', ".----."}};

double es_morse_unit_s(double wpm) { return 1.2 / wpm; }

static const char *code_of(char c) {
  for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
    if (codes[i].character == toupper((unsigned char)c)) return codes[i].code;
  return NULL;
}

es_morse_length es_morse_measure(const char *text) {
  es_morse_length m = {0};
  for (const char *c = text; *c != '\0'; c++) {
    const char *code = code_of(*c);
    if (isspace((unsigned char)*c)) {
      if (m.units > 0.0 && !isspace((unsigned char)c[1])) m.units += 4.0; /* with the letter's 3: a word space */
      continue;
    }
    if (code == NULL) {
      m.unknown++;
      continue;
    }
    for (; *code != '\0'; code++) {
      m.on += *code == '-' ? 3.0 : 1.0;
      m.units += (*code == '-' ? 3.0 : 1.0) + (code[1] != '\0' ? 1.0 : 0.0);
    }
    m.units += 3.0;
  }
  if (m.units > 0.0 && !isspace((unsigned char)text[strlen(text) - 1])) m.units += 4.0;
  return m;
}

es_cycle es_keying_cycle(const es_keying *k) {
  es_morse_length m = {0};
  if (k->kind != ES_KEYED_NOT) m = es_morse_measure(k->message);
  double unit_s = k->wpm > 0.0 ? es_morse_unit_s(k->wpm) : 0.0;
  double on = k->kind == ES_KEYED_BY_SHIFT ? m.units : m.on;
  es_cycle c = {.message_s = m.units * unit_s};
  c.cycle_s = k->digital_s + c.message_s + k->carrier_s + k->pause_s;
  c.duty = c.cycle_s > 0.0 ? (k->digital_s + on * unit_s + k->carrier_s) / c.cycle_s : 1.0;
  return c;
}

double es_emission_width_hz(const es_keying *k) {
  double baud = k->wpm > 0.0 ? 1.0 / es_morse_unit_s(k->wpm) : 0.0;
  if (k->kind == ES_KEYED_NOT) return 0.0;
  return k->kind == ES_KEYED_BY_SHIFT ? baud + 2.0 * SHIFTED * 0.5 * k->shift_hz : FADING * baud;
}

void es_width_text(double hz, char out[8]) {
  static const char letters[] = "HKMG";
  size_t power = 0;
  double value = hz;
  for (; value >= 999.5 && power < 3; power++) value /= 1e3;
  int decimals = value < 9.995 ? 2 : value < 99.95 ? 1 : 0;
  char digits[16];
  snprintf(digits, sizeof digits, "%.*f", decimals, value);
  char *point = strchr(digits, '.');
  if (point != NULL)
    *point = letters[power];
  else
    snprintf(digits + strlen(digits), sizeof digits - strlen(digits), "%c", letters[power]);
  snprintf(out, 8, "%.7s", digits);
}

void es_emission_text(const es_keying *k, char out[16]) {
  char width[8];
  if (k->kind == ES_KEYED_NOT) {
    snprintf(out, 16, "NON");
    return;
  }
  es_width_text(es_emission_width_hz(k), width);
  snprintf(out, 16, "%s%s", width, k->kind == ES_KEYED_BY_SHIFT ? "F1A" : "A1A");
}
