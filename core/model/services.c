#include "model/services.h"

#include <math.h>
#include <string.h>

#include "base/units.h"

/* --- climate -------------------------------------------------------------------------------------------------------------- */

/* How far along the path a climate place lies, and whose side of it that is. */
static double place_dist_m(const es_radial *radial, es_climate_place place, size_t r, int *side) {
  double dist = radial->rx.dist_m[r], volume = radial->rx.cv_tx_m[r];
  *side = place == ES_AT_BEACON || place == ES_AT_BEACON_LEG       ? 1
          : place == ES_AT_LISTENER || place == ES_AT_LISTENER_LEG ? 2
                                                                   : 0;
  switch (place) {
  case ES_AT_BEACON: return 0.0;
  case ES_AT_LISTENER: return dist;
  case ES_AT_BEACON_LEG: return 0.5 * volume;
  case ES_AT_LISTENER_LEG: return 0.5 * (volume + dist);
  case ES_AT_COMMON_VOLUME: return volume;
  case ES_AT_CENTRE: break;
  }
  return 0.5 * dist;
}

static double climate(const void *ctx, es_climate_key key, es_climate_place place, size_t r) {
  const es_scene *scene = ((const es_services *)ctx)->scene;
  int side;
  double value, dist = place_dist_m(scene->radial, place, r, &side);
  if (es_climate_everywhere(scene->climate, key, side, &value)) return value;
  es_lonlat at = es_sphere_ahead(scene->radial->from, scene->radial->azimuth, dist);
  return es_climate_value(scene->climate, key, side, at, NULL);
}

/* --- gains ---------------------------------------------------------------------------------------------------------------- */

static const es_antenna *antenna_at(const es_scene *scene, int32_t end) {
  return end == ES_BEACON ? scene->beacon_antenna : scene->listener_antenna;
}

/* An antenna that is turned to the other station and has no tilt of its own. */
static bool is_peaked(const es_antenna *antenna) { return antenna->tracks && antenna->tilt == 0.0; }

double es_scene_beam_el(const es_scene *scene, int32_t end, size_t r) {
  const es_antenna *antenna = antenna_at(scene, end);
  if (antenna == NULL || !is_peaked(antenna)) return antenna != NULL ? antenna->tilt : 0.0;
  return end == ES_BEACON ? scene->radial->rx.el_tx[r] : scene->radial->rx.el_rx[r];
}

/* Gain towards (az, el); az NaN: along the path. A peaked antenna is computed level, its world turned instead. */
static double gain_towards(const es_scene *scene, int32_t end, size_t r, double az, double el) {
  const es_antenna *antenna = antenna_at(scene, end);
  if (antenna == NULL) return 0.0;
  double toward = end == ES_BEACON ? scene->radial->azimuth : scene->radial->azimuth + ES_PI;
  double from_beam = is_peaked(antenna) ? el - es_scene_beam_el(scene, end, r) : el;
  return es_antenna_gain(antenna, scene->freq_ghz, isnan(az) ? toward : az, from_beam, toward);
}

double es_scene_gain_dbi(const es_scene *scene, int32_t end, size_t r, double el) {
  return gain_towards(scene, end, r, NAN, el);
}

/* Most of a map has one gain: of an antenna that is the same everywhere, and of one that is peaked on the way in hand. */
static void add_gains(const es_scene *scene, int32_t end, const double *el, double *gain_dbi) {
  const es_antenna *antenna = antenna_at(scene, end);
  size_t n = scene->radial->rx.n;
  if (antenna == NULL || n == 0) return;
  bool same = es_antenna_is_same_everywhere(antenna), peaked = is_peaked(antenna);
  const double *beam_el = end == ES_BEACON ? scene->radial->rx.el_tx : scene->radial->rx.el_rx;
  double usual = same ? antenna->peak_dbi : gain_towards(scene, end, 0, NAN, beam_el[0]);
  for (size_t r = 0; r < n; r++) {
    bool is_usual = same || (peaked && el[r] == beam_el[r]);
    gain_dbi[r] += is_usual ? usual : gain_towards(scene, end, r, NAN, el[r]);
  }
}

void es_scene_gains_dbi(const es_scene *scene, const double *el_tx, const double *el_rx, double *gain_dbi) {
  memset(gain_dbi, 0, scene->radial->rx.n * sizeof *gain_dbi);
  add_gains(scene, ES_BEACON, el_tx, gain_dbi);
  add_gains(scene, ES_LISTENER, el_rx, gain_dbi);
}

static double gain_dbi(const void *ctx, int32_t end, size_t r, double az, double el, int32_t cross) {
  (void)cross; /* cross-polar patterns are not known yet: the co-polar gain */
  return gain_towards(((const es_services *)ctx)->scene, end, r, az, el);
}

/* --- tangents --------------------------------------------------------------------------------------------------------------- */

/* What has been found already: on the median ground by the geometry, else by an earlier question. */
static const es_hull *known(const es_services *s, double curvature, const es_view *view) {
  const es_radial *radial = s->scene->radial;
  double apart = curvature * radial->earth_radius_km - 1.0; /* 1/R and R are one number up to rounding */
  if (!view->canopy && fabs(apart) < 1e-14 && radial->enough_m >= view->enough_m) return radial->hulls;
  for (size_t i = 0; i < s->n_cached; i++) {
    const es_cached_hulls *c = &s->cache[i];
    if (c->curvature_per_km == curvature && c->view.canopy == view->canopy &&
        c->view.keep_bare_m == view->keep_bare_m && c->view.enough_m >= view->enough_m)
      return c->hulls;
  }
  return NULL;
}

static int32_t hulls(const void *ctx, const double *curvature_per_km, size_t n, int32_t canopy, double keep_bare_m,
                     double enough_m, const es_hull **out) {
  es_services *s = (es_services *)(uintptr_t)ctx; /* the cache belongs to this thread's own scene */
  const es_radial *radial = s->scene->radial;
  size_t n_rx = radial->rx.n;
  es_view view = {canopy, keep_bare_m, enough_m};
  for (size_t i = 0; i < n;) {
    size_t from = i;
    while (i < n && (out[i] = known(s, curvature_per_km[i], &view)) == NULL) i++;
    size_t fresh = i - from;
    if (fresh == 0) {
      i++;
      continue;
    }
    es_hull *found = ES_NEW(s->scene->keep, es_hull, fresh * n_rx);
    if (found == NULL) return -1;
    if (es_tangents_many(s->scene->scratch, radial, &view, curvature_per_km + from, fresh, found) != 0) return -1;
    for (size_t j = 0; j < fresh; j++) {
      out[from + j] = found + j * n_rx;
      if (s->n_cached < ES_HULL_CACHE)
        s->cache[s->n_cached++] = (es_cached_hulls){curvature_per_km[from + j], view, out[from + j]};
    }
  }
  return 0;
}

/* --- memory and notes --------------------------------------------------------------------------------------------------------- */

static void *scratch(const void *ctx, size_t bytes) {
  return es_arena_get(((const es_services *)ctx)->scene->scratch, bytes);
}

static void note(const void *ctx, size_t k, size_t r, const char *symbol, double value) {
  const es_scene *scene = ((const es_services *)ctx)->scene;
  scene->note(scene->note_to, k, r, symbol, value);
}

es_host es_services_table(const es_scene *scene) {
  return (es_host){sizeof(es_host), climate, gain_dbi, hulls, scratch, scene->note != NULL ? note : NULL};
}
