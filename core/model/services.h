/* services.h - what the host does for a model while it evaluates: climate, gains, tangents, memory, notes. */
#ifndef EARSHOT_MODEL_SERVICES_H
#define EARSHOT_MODEL_SERVICES_H

#include "model/chain.h"

enum { ES_HULL_CACHE = 48 };

typedef struct es_cached_hulls {
  double curvature_per_km;
  es_view view;
  const es_hull *hulls;
} es_cached_hulls;

/* The context behind es_task.ctx: a scene and what has been computed for it. One thread. */
typedef struct es_services {
  es_scene *scene;
  es_cached_hulls cache[ES_HULL_CACHE];
  size_t n_cached;
} es_services;

/* The table of services; notes only when the scene wants them. */
es_host es_services_table(const es_scene *scene);
/* Elevation in which an end's antenna looks: its tilt; without one, an antenna that is turned to the other station is peaked
 * on where receiver r's signal comes from at median refraction, as an operator would. */
double es_scene_beam_el(const es_scene *scene, int32_t end, size_t r);
/* Gain along receiver r's path at one end, towards an elevation. */
double es_scene_gain_dbi(const es_scene *scene, int32_t end, size_t r, double el);
/* Both antennas' gains along every receiver's path, towards these elevations, added. */
void es_scene_gains_dbi(const es_scene *scene, const double *el_tx, const double *el_rx, double *gain_dbi);

#endif
