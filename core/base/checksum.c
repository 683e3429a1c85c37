#include "base/checksum.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <xxhash.h>

uint64_t es_checksum(const void *bytes, size_t n) { return XXH3_64bits(bytes, n); }

int32_t es_checksum_file(const char *path, uint64_t *checksum, uint64_t *bytes, es_error *err) {
  FILE *file = fopen(path, "rb");
  XXH3_state_t *state = file != NULL ? XXH3_createState() : NULL;
  bool bad = state == NULL || XXH3_64bits_reset(state) != XXH_OK;
  unsigned char buffer[65536];
  *bytes = 0;
  for (size_t n; !bad && (n = fread(buffer, 1, sizeof buffer, file)) > 0; *bytes += n)
    bad = XXH3_64bits_update(state, buffer, n) != XXH_OK;
  bad = bad || ferror(file) != 0;
  if (!bad) *checksum = XXH3_64bits_digest(state);
  XXH3_freeState(state);
  if (file != NULL) fclose(file);
  return bad ? es_fail(err, ES_E_FILE, "%s: cannot be read (%s)", path, strerror(errno)) : 0;
}
