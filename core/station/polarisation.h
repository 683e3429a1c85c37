/* polarisation.h - what two antennas of different polarisation lose. */
#ifndef EARSHOT_STATION_POLARISATION_H
#define EARSHOT_STATION_POLARISATION_H

#include <stdbool.h>
#include <stdint.h>

typedef struct es_polarisation {
  double tilt;        /* of the ellipse's long axis above the horizon, radians */
  double axial_ratio; /* 1 circular; large: linear */
  bool left;          /* sense; of no matter when linear */
} es_polarisation;

/* As a listener may say it. */
enum { ES_POLAR_SAME, ES_POLAR_HORIZONTAL, ES_POLAR_VERTICAL, ES_POLAR_SLANT, ES_POLAR_RIGHT, ES_POLAR_LEFT };
/* The ellipse of such a word; beacon is ES_HORIZONTAL or ES_VERTICAL. */
es_polarisation es_polarisation_of(int32_t word, int32_t beacon);

/* Loss in dB, 0 or more; xpd_db: cross-polar discrimination of both antennas and the path, the most that is lost. */
double es_polarisation_loss_db(es_polarisation one, es_polarisation two, double xpd_db);

#endif
