/* geojson.c - tables as GeoJSON points (RFC 7946): WGS 84, longitude before latitude, numbers as the CSV shows them. */
#include <jansson.h>
#include <math.h>
#include <stdlib.h>

#include "output/files.h"
#include "output/table.h"

static json_t *property(const es_field *field, const es_cell *cell) {
  if (field->kind == ES_FIELD_TEXT) return cell->text != NULL ? json_string_nocheck(cell->text) : json_null();
  if (!isfinite(cell->number)) return json_null();
  if (field->kind == ES_FIELD_WHOLE) return json_integer(llround(cell->number));
  double unit = pow(10.0, field->decimals);
  return json_real(round(cell->number * unit) / unit);
}

/* Seven decimals of a degree are a centimetre; more say nothing (RFC 7946, 11.2). */
static double degrees(double value) { return round(value * 1e7) / 1e7; }

static json_t *feature(const es_field *fields, size_t n_fields, const es_cell *cells, es_lonlat at) {
  json_t *properties = json_object();
  for (size_t k = 0; k < n_fields; k++)
    json_object_set_new(properties, fields[k].name, property(&fields[k], &cells[k]));
  double lon = remainder(at.lon_deg, 360.0);
  return json_pack("{s:s,s:{s:s,s:[f,f]},s:o}", "type", "Feature", "geometry", "type", "Point", "coordinates",
                   degrees(lon), degrees(at.lat_deg), "properties", properties);
}

int32_t es_geojson_write(const char *path, const es_field *fields, size_t n_fields, const es_cell *cells,
                         const es_lonlat *at, size_t n_rows, es_error *err) {
  json_t *features = json_array();
  for (size_t i = 0; i < n_rows; i++)
    json_array_append_new(features, feature(fields, n_fields, cells + i * n_fields, at[i]));
  json_t *all = json_pack("{s:s,s:o}", "type", "FeatureCollection", "features", features);
  int32_t status = all != NULL ? es_json_write(path, all, err) : es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  json_decref(all);
  return status;
}
