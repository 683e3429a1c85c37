/* keying.h - how long a beacon's message takes, how much of the time it is on, and what its emission is called. */
#ifndef EARSHOT_STATION_KEYING_H
#define EARSHOT_STATION_KEYING_H

#include <stddef.h>

typedef enum es_keying_kind { ES_KEYED_ON_OFF, ES_KEYED_BY_SHIFT, ES_KEYED_NOT } es_keying_kind;

typedef struct es_keying {
  es_keying_kind kind;
  char message[96];
  double wpm;       /* words a minute */
  double shift_hz;  /* ES_KEYED_BY_SHIFT: between mark and space */
  double digital_s; /* a digital sequence at the beginning of the cycle, always on */
  double carrier_s; /* plain carrier after the message */
  double pause_s;   /* silence in the cycle */
} es_keying;

/* Length of a Morse dot at that speed, s: 1.2 / wpm, by the word PARIS of 50 units. */
double es_morse_unit_s(double wpm);
/* Units of a text after ITU-R M.1677-1: dash 3, between elements 1, letters 3, words 7; the last letter ends with a word
 * space, so that texts follow one another. on: units with the key down. Characters without a code count in `unknown`. */
typedef struct es_morse_length {
  double units, on;
  size_t unknown;
} es_morse_length;
es_morse_length es_morse_measure(const char *text);

typedef struct es_cycle {
  double message_s, cycle_s, duty; /* duty: average power over key-down power, 0..1 */
} es_cycle;
es_cycle es_keying_cycle(const es_keying *keying);

/* Necessary bandwidth, Hz, and emission designator after ITU-R SM.1138-3 (Morse by hand or machine, K = 5 for fading):
 * "50H0A1A". Frequency shift: B + K D with K = 1.2 and D half the shift. */
double es_emission_width_hz(const es_keying *keying);
void es_emission_text(const es_keying *keying, char out[16]);
/* Three figures and a letter in the place of the point: 50 -> "50H0", 2400 -> "2K40". */
void es_width_text(double hz, char out[8]);

#endif
