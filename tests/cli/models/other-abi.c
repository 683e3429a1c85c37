/* A model of another interface version. */
#include "earshot/model.h"

const es_model es_model_entry = {.abi = 77, .size = sizeof(es_model), .id = "other-abi", .role = ES_TERM};
