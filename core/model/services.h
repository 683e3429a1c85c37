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
/* Gain along the path at one end, towards an elevation. */
double es_scene_gain_dbi(const es_scene *scene, int32_t end, double el);

#endif
