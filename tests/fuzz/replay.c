/* replay.c - runs a fuzzer over a corpus without libFuzzer: what was found once stays found, under any compiler. */
#include <dirent.h>
#include <stdbool.h>

#include "fuzz.h"

static bool replay(const char *path) {
  FILE *file = fopen(path, "rb");
  static uint8_t bytes[1 << 20];
  if (file == NULL) return false;
  size_t n = fread(bytes, 1, sizeof bytes, file);
  fclose(file);
  uint8_t *exact = malloc(n > 0 ? n : 1); /* a byte too many is seen by the checked build */
  if (exact == NULL) return false;
  memcpy(exact, bytes, n);
  LLVMFuzzerTestOneInput(exact, n);
  free(exact);
  return true;
}

int main(int argc, char **argv) {
  DIR *corpus = argc == 2 ? opendir(argv[1]) : NULL;
  if (corpus == NULL) {
    fprintf(stderr, "want the folder of a corpus\n");
    return 2;
  }
  int n = 0;
  for (const struct dirent *entry; (entry = readdir(corpus)) != NULL;) {
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", argv[1], entry->d_name);
    if (entry->d_name[0] != '.') n += replay(path);
  }
  closedir(corpus);
  printf("%d inputs\n", n);
  return n > 0 ? 0 : 1;
}
