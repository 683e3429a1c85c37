/* station.h - the two ends of a path: the beacon, and who listens. */
#ifndef EARSHOT_STATION_STATION_H
#define EARSHOT_STATION_STATION_H

#include <stdint.h>

#include "place/geodesic.h"
#include "station/antenna.h"
#include "station/mode.h"

/* Things a reader of the answer should know about a station; bits of es_listener.flags. */
enum {
  ES_PLACE_BY_LOCATOR6 = 1, /* a 6-character (or shorter) locator stands for the position */
  ES_HEIGHT_DEFAULT = 2,
  ES_ANTENNA_DEFAULT = 4,
  ES_NOISE_DEFAULT = 8,
  ES_MODE_DEFAULT = 16
};

typedef struct es_feeder { /* the line between amplifier and antenna, when its kind is known */
  char line[48];           /* an es_line_kind; "": only its loss is known */
  char source[128];        /* of its loss */
  double length_m, db_per_m, connectors_db;
  bool at_antenna; /* the amplifier sits at the antenna: no line, only connectors */
} es_feeder;

typedef struct es_beacon {
  char *name, *call; /* owned; call may be "" */
  char *site;        /* owned: name of the place when several are compared; NULL */
  es_lonlat at;
  long line; /* of the position in the job file */
  double freq_ghz;
  int32_t polarisation; /* ES_HORIZONTAL, ES_VERTICAL */
  es_antenna antenna;
  double height_m;  /* antenna above ground */
  double power_dbm; /* at the amplifier */
  double feeder_db; /* loss between amplifier and antenna at height_m */
  es_feeder feeder;
  double power_sigma_db; /* one standard deviation of power_dbm */
  char power_basis[64];  /* where power and its sigma come from */
} es_beacon;

typedef struct es_receiver {                    /* everything of a listener but the place */
  double height_m;                              /* antenna above ground */
  es_antenna antenna;                           /* tracks the beacon unless azimuth is given */
  double noise_figure_db, feeder_db, antenna_k; /* antenna_k NaN: from the beam, models/noise */
  int32_t polarisation;                         /* ES_POLAR_SAME: as the beacon */
  double xpd_db;                                /* most that crossed polarisation loses */
  double lnb_lo_mhz, lnb_error_ppm;             /* for the card */
  char mode[32];                                /* wanted mode, an es_mode id */
} es_receiver;

typedef struct es_listener {
  char *name; /* owned; may repeat, may hold any UTF-8 */
  es_lonlat at;
  es_receiver rx;
  double weight; /* in rankings: 1 unless the list says otherwise */
  uint32_t flags;
  long line; /* in a CSV list; the number of the feature, first 1, in others */
} es_listener;

typedef struct es_listeners {
  es_listener *items;
  size_t n;
  bool has_lines; /* the list has lines a person can look for: CSV */
} es_listeners;

/* Reads a list through OGR (CSV, GeoJSON, GeoPackage, KML, GPX; first point layer, or `layer`). Fields, any case:
 * name|call; lon and lat, or the geometry, or locator, in this order; height_m; gain_dbi or dish_m (both: a dish
 * of that gain); noise_figure_db; feeder_db; mode; azimuth_deg; tilt_deg; polarisation; lnb_lo_mhz; lnb_error_ppm; weight. `defaults` must hold no pattern table. What is
 * absent comes from `defaults` and sets a flag. Every faulty row is a fault with its line; rows without fault are
 * kept. freq_ghz turns dish diameters into gain. [setup] */
bool es_listeners_read(const char *path, const char *layer, const es_receiver *defaults, double freq_ghz,
                       const es_modes *modes, es_listeners *out, es_faults *faults);
void es_listeners_free(es_listeners *list);
/* What a listener loses by polarisation; beacon: ES_HORIZONTAL or ES_VERTICAL. */
double es_receiver_polarisation_db(const es_receiver *rx, int32_t beacon);
void es_beacon_fini(es_beacon *beacon);

#endif
