/* path_picture.h - the profile picture of one listener: ground, trees, ray, Fresnel zone, and in words what they cost. */
#ifndef EARSHOT_RUN_PATH_PICTURE_H
#define EARSHOT_RUN_PATH_PICTURE_H

#include "run/path.h"

/* radial: as given back by es_path_evaluate, of an answer with status ES_OK. run_id NULL: none. */
int32_t es_path_picture_write(const char *path, const es_setup *setup, const es_scenario *scenario,
                              const es_listener *listener, const es_percentages *percents, const es_path_answer *answer,
                              const es_radial *radial, const char *run_id, es_error *err);

#endif
