/* Locators: what is read is a place on Earth, and written again it is the same locator. */
#include "fuzz.h"

#include <ctype.h>
#include <math.h>

#include "place/locator.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  char text[64], again[11];
  size_t n = size < sizeof text - 1 ? size : sizeof text - 1;
  memcpy(text, data, n);
  text[n] = '\0';
  es_lonlat at;
  double half_lon, half_lat;
  es_error err = {0};
  if (es_locator_parse(text, &at, &half_lon, &half_lat, &err) == 0) {
    if (!(fabs(at.lon_deg) <= 180.0 && fabs(at.lat_deg) <= 90.0)) abort();
    if (es_locator_format(at, (int)strlen(text), again, &err) != 0) abort();
    for (size_t i = 0; text[i] != '\0'; i++)
      if (toupper((unsigned char)text[i]) != toupper((unsigned char)again[i])) abort();
  }
  if (size >= sizeof(es_lonlat)) {
    memcpy(&at, data, sizeof at);
    es_locator_format(at, 10, again, &err);
  }
  return 0;
}
