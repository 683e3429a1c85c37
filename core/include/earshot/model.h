/* earshot/model.h - what a loss model is.
 *
 * A loss model is one shared object that exports one const structure, `es_model_entry`. It links nothing: this header is
 * all it needs (C11, C17, C++17). The host opens the object, copies what the structure declares, zeroes the rest, checks
 * it and then calls `evaluate` from any thread.
 *
 * The unit of work is a RADIAL: one line of ground from the beacon outward, with one or many receivers on it. A listener is
 * a radial with one receiver at its end; a map is a fan of radials with thousands. All receivers and all percentages of
 * time are asked for in one call.
 *
 *      antenna
 *        o- - - - - - - - - - - - - - - - - - - - - - - - - - o receiver r
 *        |        __/\__                 .                    |
 *   _____|_______/      \_______________/ \___________________|____
 *   line.dist_m[0]=0   line.ground_m[i]           rx.dist_m[r], rx.ground_m[r]
 *                            line.dist_m[rx.last[r]] is the last sample before the receiver
 *
 * Conventions. Heights are metres above sea unless the name says otherwise, distances metres along the ground, angles
 * radians (elevation: up is positive; azimuth: clockwise from true north), levels dB. A number that is not known is NaN.
 * Two-dimensional arrays are [percent][receiver], the receiver running fastest: value[k * rx->n + r].
 * Threads: [setup] means called from one thread before or after the work, [any thread] means called from many at once with
 * shared const data; such a function must be pure: same task, same answer.
 * Memory: everything behind a task belongs to the host and is valid until `evaluate` returns; arrays of an answer are
 * brought by the host, filled by the model.
 *
 * STATUS: version 1, frozen. What stands here keeps its meaning and its place, and a library built with it stays loadable.
 * What comes later stands at the end of a structure; es_setting, of which models make arrays, never grows. Role 6 is kept
 * for losses while something lasts (a rain cell, an aircraft); no host takes it yet.                                    */
#ifndef EARSHOT_MODEL_H
#define EARSHOT_MODEL_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define ES_ABI 1u /* a host loads its own version only */

#if defined(_WIN32)
#define ES_EXPORT __declspec(dllexport)
#else
#define ES_EXPORT __attribute__((visibility("default")))
#endif

/* Status of one answer. A value outside the model's stated range is kept and flagged, never clamped in silence. */
enum { ES_OK = 0, ES_OUTSIDE = 1, ES_MISSING = 2, ES_FAILED = 3 };

/* Role of a model: what its values mean. */
enum {
  ES_TERM = 1,   /* dB added to the ways it touches */
  ES_END = 2,    /* dB lost at one end, in the direction a way leaves or arrives */
  ES_FADING = 3, /* share of its active time that a fade is exceeded, percent */
  ES_WAY = 4,    /* a basic transmission loss of its own, dB */
  ES_TOTAL = 5   /* a whole answer: the basic transmission loss of all ways together, dB */
};

/* Ways a signal travels; a term, an end or a fading says which it touches. */
enum { ES_SURFACE = 1, ES_DUCT = 2, ES_SCATTER = 4, ES_ALL_WAYS = 7 };

/* Zones of the ground, numbered as in ITU-R P.2001. */
enum { ES_ZONE_SEA = 1, ES_ZONE_COAST = 3, ES_ZONE_INLAND = 4 };

/* Polarisation, season, ends. */
enum { ES_HORIZONTAL = 0, ES_VERTICAL = 1 };
enum { ES_NO_TREES = 0, ES_IN_LEAF = 1, ES_OUT_OF_LEAF = 2 };
enum { ES_BEACON = 0, ES_LISTENER = 1 };

/* What stands on a sample of the ground. ES_OPAQUE: buildings, ridges; nothing passes through them, in any season. */
enum { ES_NO_LEAF = 0, ES_BROADLEAF = 1, ES_CONIFER = 2, ES_MIXED_LEAF = 3, ES_OPAQUE = 4 };

/* What a model can do besides (es_model.can). */
enum { ES_CAN_OVER_CANOPY = 1 }; /* TERM: obeys es_task.over_canopy */

/* Climate quantities, and the places at which they are wanted. Values come from the user's constant, else the user's map,
 * else the latitude, else a default; the host knows which and reports it. */
typedef enum es_climate_key {
  ES_DELTA_N_MEDIAN,         /* median lapse of refractivity in the lowest km, positive, N/km */
  ES_DELTA_N_ENHANCED_SLOPE, /* N/km per decade of time below 50 % */
  ES_DELTA_N_SUB_SLOPE,      /* N/km per decade of time above 50 % */
  ES_GRADIENT_65M_1PCT,      /* gradient of the lowest 65 m not exceeded 1 % of the time, N/km (negative) */
  ES_VAPOUR_DENSITY,         /* surface water vapour, g/m3 */
  ES_RAIN_6H,                /* probability of rain in six hours, % */
  ES_RAIN_ANNUAL,            /* mm a year */
  ES_RAIN_CONVECTIVE,        /* convective share, 0..1 */
  ES_ZERO_ISOTHERM,          /* mean height of 0 degC, km above sea */
  ES_TROPO_CLIMATE,          /* climate code 0..6 of P.2001 attachment E */
  ES_DELTA_N,                /* openings chain: lapse in the lowest km, positive, N/km */
  ES_N0,                     /* sea-level refractivity, N-units */
  ES_PRESSURE,               /* hPa */
  ES_TEMPERATURE,            /* degC */
  ES_CLIMATE_KEYS
} es_climate_key;
typedef enum es_climate_place {
  ES_AT_CENTRE, /* half the path's length along its bearing */
  ES_AT_BEACON, /* the terminals themselves */
  ES_AT_LISTENER,
  ES_AT_BEACON_LEG, /* middle of the leg from a terminal to the common volume */
  ES_AT_LISTENER_LEG,
  ES_AT_COMMON_VOLUME
} es_climate_place;

/* One setting of a model. `choices` is NULL for a number, else "first|second|third": the value is the index. */
typedef struct es_setting {
  const char *key, *unit, *help;
  double min, max, fallback;
  const char *choices;
} es_setting;

typedef struct es_place {
  double lon_deg, lat_deg; /* WGS 84 */
  double ground_m;         /* above sea */
  double antenna_m;        /* above sea */
} es_place;

/* A line of ground. Distances increase strictly; dist_m[0] is 0, the beacon's own ground. step_m is the uniform step, or 0.
 * known: 0 no data (the sample must not be used), 1 measured, 2 bridged over a small void, 3 sea by the mask alone.
 * Canopy, that is trees and whatever else stands on the ground: top_m and base_m (above sea; equal to the ground where
 * nothing stands), density (0..1, 0 where nothing stands) and leaf (ES_BROADLEAF ...), all linear between samples but the
 * leaf; all four NULL when there is none. It is that of the task's season: without trees only what is opaque remains.
 * cover is NULL when there is no cover class. */
typedef struct es_line {
  size_t n;
  double step_m;
  const double *dist_m, *ground_m, *top_m, *base_m, *density;
  const uint8_t *leaf, *cover, *zone, *known;
} es_line;

/* The receivers on a line, structure of arrays, each of length n. Geometry is for median refraction and bare ground. */
typedef struct es_receivers {
  size_t n;
  const size_t *last;             /* index of the last sample with line.dist_m < dist_m */
  const es_place *at;             /* where */
  const double *dist_m, *slant_m; /* along the ground; between the antennas */
  const double *el_tx, *el_rx;    /* elevation of the radio horizon, or of the other antenna in line of sight */
  const double *d_tx_m, *d_rx_m;  /* distance from each end to its horizon, or to the point of least clearance */
  const double *horizon_tx_m, *horizon_rx_m; /* ground height of that point */
  const double *smooth_tx_m, *smooth_rx_m;   /* smooth-earth heights for diffraction, P.2001 (3.8.10) */
  const double *fit_tx_m, *fit_rx_m;         /* smooth-earth heights limited to the ground, P.2001 (3.8.4) */
  const double *rough_m;                     /* terrain roughness hm, P.2001 (3.8.7) */
  const double *mid_ground_m, *mid_lat_deg;  /* at the path centre */
  const double *cv_tx_m, *cv_height_m;       /* common volume: distance from the beacon, height; P.2001 (3.9) */
  const double *land_m, *inland_m;           /* longest run over land, over inland */
  const double *sea_tx_m, *sea_rx_m;         /* from each end to the sea; 0 at sea, the whole path when there is none */
  const double *sea_share;                   /* 0..1 */
  const uint8_t *los;                        /* 1: the line of sight is clear */
} es_receivers;

/* Columns of es_receivers that a model declares it leaves unread (es_model.unread). In a map a column that no model of the
 * chain reads is not computed; it holds NaN then. */
enum {
  ES_UNREAD_PLACES = 1,   /* lon_deg and lat_deg of `at` */
  ES_UNREAD_HORIZONS = 2, /* d_tx_m, d_rx_m, horizon_tx_m, horizon_rx_m */
  ES_UNREAD_ROUGH = 4,    /* rough_m */
  ES_UNREAD_MIDDLE = 8,   /* mid_ground_m, mid_lat_deg */
  ES_UNREAD_VOLUME = 16,  /* cv_tx_m, cv_height_m, and climate at the common volume and on the legs */
  ES_UNREAD_ZONES = 32    /* land_m, inland_m, sea_tx_m, sea_rx_m */
};

/* Tangents of the ground at some curvature, in parabolic heights g = ground - 500 C d^2 (C in 1/km, d in km); slopes in
 * m/m of g. In line of sight (tx_slope below the direct line's slope) clear_v2 = min c^2 / (d (D - d)) with c the height of
 * the line over the ground, in m^2/m^2, and clear_at its sample; otherwise clear_v2 is NaN. SIZE_MAX: no sample between. */
typedef struct es_hull {
  double tx_slope, rx_slope, clear_v2;
  size_t tx_at, rx_at, clear_at;
} es_hull;

/* Legs from one end to the common volume, one for each receiver. */
typedef struct es_legs {
  int32_t end;                           /* ES_BEACON or ES_LISTENER */
  const double *dist_m, *low_m, *high_m; /* length along the ground; lower and upper end above sea */
  const double *el, *ground_m;           /* elevation at the terminal; its ground height */
} es_legs;

/* Host services [any thread]. `ctx` is es_task.ctx. */
typedef struct es_host {
  uint32_t size;
  /* Climate at a place of receiver r's path. Never NaN for a known key. */
  double (*climate)(const void *ctx, es_climate_key key, es_climate_place place, size_t r);
  /* Gain in dBi of the antenna at one end of receiver r's path towards (az, el); cross: 1 for the other polarisation. */
  double (*gain_dbi)(const void *ctx, int32_t end, size_t r, double az, double el, int32_t cross);
  /* Tangents for every receiver at n curvatures of any sign: out[i][receiver] for curvature i. Ask for all at once, they are
   * found side by side, and what the host has found already is not found again. canopy 1 adds the canopy tops to the ground: points with (d, D-d >= keep_bare_m) carry it, the others stay
   * bare. A clearance need be exact only while 2 D clear_v2 is below enough_m (INFINITY: always): a model to which more
   * clearance makes no difference says so here. 0, or -1 out of memory. */
  int32_t (*hulls)(const void *ctx, const double *curvature_per_km, size_t n, int32_t canopy, double keep_bare_m,
                   double enough_m, const es_hull **out);
  /* Memory that lives until evaluate returns; NULL when there is none. */
  void *(*scratch)(const void *ctx, size_t bytes);
  /* Reports a quantity by its Recommendation's letter. NULL while maps are computed: test before use. */
  void (*note)(const void *ctx, size_t k, size_t r, const char *symbol, double value);
} es_host;

typedef struct es_task {
  uint32_t size;
  const es_host *host;
  const void *ctx;
  const es_place *beacon;
  const es_line *line;
  const es_receivers *rx;
  double freq_ghz;
  int32_t polarisation; /* ES_HORIZONTAL, ES_VERTICAL */
  int32_t season;
  double azimuth;         /* of the line at the beacon */
  double earth_radius_km; /* effective radius for median refraction (the geometry above) */
  int32_t fixed_radius;   /* 1: that radius holds at every percentage */
  const double *percent;  /* of the year, loss not exceeded; 0 < p < 100, as asked by the user */
  size_t n_percent;
  int32_t way;                 /* TERM, END, FADING: the way in hand (one of ES_SURFACE, ES_DUCT, ES_SCATTER) */
  const double *el_tx, *el_rx; /* directions in which that way leaves and arrives, one for each receiver */
  const es_legs *legs;         /* TERM, FADING on ES_SCATTER: the leg in hand; NULL: the whole path */
  const double *fade_db;       /* FADING: [percent][receiver], the fade asked about */
  int32_t over_canopy; /* TERM with ES_CAN_OVER_CANOPY: 1 asks for the loss over the tops, as if they were ground */
  const double *ground_db,
      *canopy_db;        /* END on ES_SURFACE: [percent][receiver], what such terms lose over the ground and
                                          over the tops; NULL when there are none */
  const uint32_t *asked; /* FADING: which of them, rising, as k * rx->n + r; other answers are not read. NULL: all */
  size_t n_asked;
  void *prepared; /* what `prepare` filled; NULL when there is none */
} es_task;

/* A model fills the columns of its own role and leaves the others alone: they may be shared with other models. */
typedef struct es_answer {
  uint32_t size;
  double *value;         /* [percent][receiver]: dB; FADING: percent of its active time that fade_db is exceeded */
  uint8_t *status;       /* [percent][receiver], ES_OK on entry */
  double *share;         /* FADING [receiver]: share of the year it is active, percent (100 on entry) */
  double *vapour;        /* FADING [percent][receiver]: weight of rain_extra (0 on entry) */
  double *rain_extra;    /* TERM [receiver]: dB more in rain, weighted by the fadings' vapour (0 on entry) */
  double *el_tx, *el_rx; /* WAY, TOTAL [receiver]: its own directions (the horizon on entry) */
  uint8_t *legs;   /* WAY [receiver]: 1 asks the host to add gases and fading along both legs to the common volume */
  uint8_t *winner; /* TOTAL [percent][receiver]: ES_SURFACE, ES_DUCT or ES_SCATTER (ES_SURFACE on entry) */
} es_answer;

typedef struct es_error {
  int32_t status;
  char detail[240];
} es_error;

typedef struct es_model {
  uint32_t abi;       /* ES_ABI */
  uint32_t size;      /* sizeof(es_model) as the model saw it */
  const char *id;     /* "diffraction": file name, key in the job, column in the table */
  const char *title;  /* what it is, in a few words */
  const char *source; /* "ITU-R P.526-16 (11/2025)" */
  int32_t role;
  uint32_t touches;                        /* TERM, END, FADING: the ways; WAY: the one it is */
  uint32_t correlated_with;                /* WAY: ES_SURFACE when it comes and goes with the surface way, else 0 */
  double min_ghz, max_ghz, min_km, max_km; /* stated range; outside it answers are flagged ES_OUTSIDE by the host */
  const es_setting *settings;
  size_t n_settings;
  /* [setup] values follow settings[]; *self is handed to the other calls. May be NULL. 0, or an ES_ status with err set. */
  int32_t (*create)(const double *values, void **self, es_error *err);
  /* [any thread] Optional: work to be done once before many `evaluate` calls on one task (a fading is asked about twenty
   * fades in turn). task->asked, when there, lists the receivers that will be asked about; others may be left out. The host brings prepared_bytes(n_receivers) of zeroed memory in task->prepared. */
  size_t (*prepared_bytes)(const void *self, size_t n_receivers);
  int32_t (*prepare)(const void *self, const es_task *task, es_error *err);
  /* [any thread] pure. 0, or an ES_ status: then nothing of the answer is used and the run reports err and this model. */
  int32_t (*evaluate)(const void *self, const es_task *task, es_answer *out, es_error *err);
  void (*destroy)(void *self); /* [setup] accepts NULL; may be NULL */
  uint32_t only_fades;         /* FADING: the ways on which no fade of it is ever below 0 dB, added together */
  uint32_t unread;             /* ES_UNREAD_...: columns of the receivers it never reads; 0 is always right */
  uint32_t can;                /* ES_CAN_..., added together */
} es_model;

/* What the shared object exports. */
extern ES_EXPORT const es_model es_model_entry;

#ifdef __cplusplus
}
#endif
#endif
