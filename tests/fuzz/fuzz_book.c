/* The book of what is done: any bytes are lines or nothing, and no file outside the folder is looked at. */
#include "fuzz.h"

#include "run/book.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  es_error err = {0};
  fuzz_file(".earshot-done", data, size);
  es_book *book = es_book_open(fuzz_folder(), NULL, &err);
  if (book == NULL) abort();
  es_map_layers counts;
  bool wanted;
  es_book_has_map(book, 1, 2, &counts);
  if (es_book_wants(book, "map.png", 1, &wanted, &err) != 0 || !wanted) abort();
  if (es_book_finish(book, &err) != 0) abort();
  es_book_close(book);
  return 0;
}
