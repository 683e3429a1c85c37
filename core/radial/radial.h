/* radial.h - one line of ground with its receivers, and everything of geometry that the models share.
 *
 *   samples (core/ground)  ->  es_line_make      gaps bridged or cut
 *                          ->  es_radial_place   receivers: horizons, smooth earth, zones, common volume
 *                          ->  es_tangents       horizons at any other curvature
 *
 * All memory comes from the caller's arena. Sources: ITU-R P.2001-6 sections 3.7 to 3.9 and attachment H; ITU-R P.452-18
 * annex 2 has the same quantities. Everything here may be called from any thread, each with its own arena.                */
#ifndef EARSHOT_RADIAL_RADIAL_H
#define EARSHOT_RADIAL_RADIAL_H

#include "base/arena.h"
#include "earshot/model.h"
#include "place/geodesic.h"

/* Ground along the line as it comes from a raster or a file; arrays of n, borrowed. canopy (heights above ground), cover
 * and known may be NULL, and with a canopy its base (0), density (1 where anything stands) and leaf (ES_MIXED_LEAF). The
 * rest as in es_line. */
typedef struct es_samples {
  size_t n;
  double step_m; /* uniform step, or 0 */
  const double *dist_m, *ground_m, *canopy_m;
  const uint8_t *cover, *zone, *known;
  const double *base_m, *density;
  const uint8_t *leaf;
} es_samples;

/* Makes a line of which every sample may be used: voids up to fill_gap_m are bridged linearly (known = 2), at the first
 * longer one the line ends. line->n 0: the beacon itself stands in a void. Where nothing is to be changed the line looks at
 * the samples themselves, so they must live as long. 0, or ES_E_MEMORY. */
int32_t es_line_make(es_arena *arena, const es_samples *samples, double fill_gap_m, es_line *line);

/* A receiver wanted on the line: distance rising from one to the next, own ground and antenna height above it. foot_m: samples
 * nearer than this are ground under it, not before it. A map's cell stands up to half a cell beside the line, so that on a
 * slope a sample at its feet may be higher than its antenna; half a step keeps it out. On the line itself it is 0. */
typedef struct es_spot {
  double dist_m, ground_m, antenna_agl_m;
  uint8_t zone;
  double foot_m;
} es_spot;

/* How the ground is looked at. */
typedef struct es_view {
  int32_t canopy; /* 1: the tops stand on the ground wherever a sample is at least keep_bare_m from the beacon and */
  double keep_bare_m; /* from the last receiver */
  double enough_m;    /* 2 D clear_v2 from which on a clearance need not be exact; INFINITY: always exact */
} es_view;

struct es_outlines;

typedef struct es_radial {
  es_lonlat from;
  double azimuth; /* radians at the beacon */
  es_place beacon;
  es_line line;
  es_receivers rx;
  double earth_radius_km;
  const es_hull *hulls; /* [receiver] bare ground at 1 / earth_radius_km, seen with enough_m */
  double enough_m;
  const double *clearance_m, *clearance_f1, *worst_m; /* [receiver] least clearance below the direct line: metres, first
                                                         Fresnel zones, distance from the beacon; NaN without samples */
  struct es_outlines *outlines;                       /* as in the setup */
} es_radial;

typedef struct es_radial_setup {
  es_lonlat from;
  double azimuth; /* radians */
  double beacon_agl_m;
  double freq_ghz;
  double earth_radius_km; /* median; +-infinity and negative allowed (curvature 1/radius) */
  double wavelength_m;
  struct es_outlines
      *outlines; /* kept for this very line up to its one receiver (radial/outline.h), or NULL. Borrowed */
} es_radial_setup;

/* Fills a radial from a line and n spots. Spots must lie within the line's reach (at most the last sample's distance). */
int32_t es_radial_place(es_arena *arena, const es_radial_setup *setup, const es_line *line, const es_spot *spots,
                        size_t n, es_radial *out);

/* A bit beside the ES_UNREAD_... of model.h: clearance_m, clearance_f1, worst_m. */
#define ES_UNREAD_CLEARANCE (1u << 31)
/* One radial among several that are placed together. */
typedef struct es_placing {
  es_radial_setup setup;
  const es_line *line;
  const es_spot *spots;
  size_t n;
  es_radial *out;
} es_placing;
/* The same for several radials, which is faster than one by one, and without the columns that nobody will read (ES_UNREAD_
 * bits): they are left NaN. */
int32_t es_radials_place(es_arena *arena, uint32_t unread, const es_placing *all, size_t n);

/* Tangents at n curvatures (1/km, any sign) for every receiver, [curvature][receiver]. 0, or -1 out of memory. */
int32_t es_tangents_many(es_arena *arena, const es_radial *radial, const es_view *view, const double *curvature_per_km,
                         size_t n, es_hull *out);
/* The same at one curvature, all exact. */
int32_t es_tangents(es_arena *arena, const es_radial *radial, double curvature_per_km, int32_t canopy,
                    double keep_bare_m, es_hull *out);

/* Place at a distance along the radial on the sphere of 6371 km, P.2001 attachment H. */
es_lonlat es_sphere_ahead(es_lonlat from, double azimuth, double dist_m);

#endif
