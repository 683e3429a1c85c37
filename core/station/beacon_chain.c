#include "station/beacon_chain.h"

#include <math.h>

#include "base/units.h"

double es_beacon_feeder_db(const es_beacon *b, double height_m) {
  if (b->feeder.line[0] == '\0' || b->feeder.at_antenna || isnan(b->height_m)) return b->feeder_db;
  double length_m = fmax(0.0, b->feeder.length_m + height_m - b->height_m);
  return b->feeder_db + (length_m - b->feeder.length_m) * b->feeder.db_per_m;
}

es_radiated es_radiated_of(const es_beacon *b, double amplifier_dbm, double height_m) {
  es_radiated r = {.amplifier_dbm = amplifier_dbm, .peak_dbi = b->antenna.peak_dbi};
  r.feeder_db = es_beacon_feeder_db(b, height_m);
  r.port_dbm = amplifier_dbm - r.feeder_db;
  r.eirp_dbm = r.port_dbm + r.peak_dbi;
  r.erp_dbm = r.eirp_dbm - ES_ERP_TO_EIRP_DB;
  return r;
}
