/* fuzz.h - what every fuzzer needs: its bytes as a file. */
#ifndef EARSHOT_FUZZ_H
#define EARSHOT_FUZZ_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char fuzz_folder_name[64];

static void fuzz_remove_folder(void) {
  char command[128];
  snprintf(command, sizeof command, "rm -rf %s", fuzz_folder_name);
  if (system(command) != 0) fprintf(stderr, "%s stays\n", fuzz_folder_name);
}

/* A folder of this process, in memory where there is such a place. */
static inline const char *fuzz_folder(void) {
  char *folder = fuzz_folder_name;
  if (folder[0] != '\0') return folder;
  snprintf(folder, sizeof fuzz_folder_name, "%s/earshot-fuzz-%ld-XXXXXX",
           access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp", (long)getpid());
  if (mkdtemp(folder) == NULL || atexit(fuzz_remove_folder) != 0) abort();
  return folder;
}

/* Writes a file in that folder and gives its path. */
static inline const char *fuzz_file(const char *name, const void *bytes, size_t n) {
  static char path[128];
  snprintf(path, sizeof path, "%s/%s", fuzz_folder(), name);
  FILE *file = fopen(path, "wb");
  if (file == NULL || (n > 0 && fwrite(bytes, 1, n, file) != n) || fclose(file) != 0) abort();
  return path;
}

#endif
