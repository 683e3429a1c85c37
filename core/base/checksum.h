/* checksum.h - XXH3 of bytes and files, to notice that an input has changed [xxhash]. Not cryptographic. */
#ifndef EARSHOT_BASE_CHECKSUM_H
#define EARSHOT_BASE_CHECKSUM_H

#include "base/status.h"

uint64_t es_checksum(const void *bytes, size_t n);
/* Of a whole file, streamed; bytes gets its size. */
int32_t es_checksum_file(const char *path, uint64_t *checksum, uint64_t *bytes, es_error *err);

#endif
