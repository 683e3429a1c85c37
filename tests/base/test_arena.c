/* test_arena.c - memory that is given back all at once; faults; status words. */
#include "near.h"

#include <string.h>

#include "base/arena.h"
#include "base/faults.h"
#include "base/status.h"

/* --- arena ------------------------------------------------------------------------------------------------------------------ */

static void pieces_are_apart_and_aligned(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  unsigned char *piece[200];
  for (size_t i = 0; i < 200; i++) {
    size_t bytes = 1 + i * 577 % 40000;
    piece[i] = es_arena_get(arena, bytes);
    assert_non_null(piece[i]);
    assert_int_equal((uintptr_t)piece[i] % 64, 0);
    memset(piece[i], (int)i, bytes);
  }
  for (size_t i = 0; i < 200; i++) {
    size_t bytes = 1 + i * 577 % 40000;
    for (size_t k = 0; k < bytes; k++) assert_int_equal(piece[i][k], (unsigned char)i);
  }
  es_arena_destroy(arena);
}

static void a_piece_may_be_larger_than_any_block(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  unsigned char *large = es_arena_zeroed(arena, 9u << 20);
  assert_non_null(large);
  assert_int_equal(large[0] | large[(9u << 20) - 1], 0);
  large[(9u << 20) - 1] = 1;
  assert_true(es_arena_bytes(arena) >= 9u << 20);
  es_arena_destroy(arena);
}

/* Going back to a mark frees what came after and nothing else, and the same work needs no new memory. */
static void a_mark_gives_back_what_came_after_it(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  double *kept = ES_NEW(arena, double, 100);
  for (size_t i = 0; i < 100; i++) kept[i] = (double)i;
  es_arena_mark mark = es_arena_now(arena);
  size_t held = 0;
  for (int round = 0; round < 20; round++) {
    for (int i = 0; i < 50; i++) {
      void *piece = es_arena_get(arena, 100000);
      assert_non_null(piece);
      memset(piece, 0xff, 100000);
    }
    if (round == 1) held = es_arena_bytes(arena);
    if (round > 1) assert_int_equal(es_arena_bytes(arena), held);
    es_arena_back_to(arena, mark);
  }
  for (size_t i = 0; i < 100; i++) assert_true(kept[i] == (double)i);
  es_arena_destroy(arena);
}

static void an_empty_mark_empties_the_arena(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  es_arena_mark empty = es_arena_now(arena);
  void *first = es_arena_get(arena, 1000);
  for (int i = 0; i < 40; i++) assert_non_null(es_arena_get(arena, 300000));
  es_arena_back_to(arena, empty);
  assert_ptr_equal(es_arena_get(arena, 1000), first);
  es_arena_destroy(arena);
}

static void zeroed_memory_is_zero_even_when_used_before(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  es_arena_mark mark = es_arena_now(arena);
  memset(es_arena_get(arena, 5000), 0xaa, 5000);
  es_arena_back_to(arena, mark);
  unsigned char *again = es_arena_zeroed(arena, 5000);
  for (size_t i = 0; i < 5000; i++) assert_int_equal(again[i], 0);
  es_arena_destroy(arena);
}

static void impossible_wishes_get_nothing(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  assert_null(es_arena_get(arena, 0));
  assert_null(es_arena_get(arena, SIZE_MAX));
  assert_null(es_arena_get(arena, SIZE_MAX / 3));
  assert_null(ES_NEW(arena, double, SIZE_MAX / 4));
  assert_true(es_array_bytes(SIZE_MAX / 2, 8) == SIZE_MAX);
  assert_int_equal(es_array_bytes(3, 8), 24);
  assert_non_null(ES_NEW(arena, double, 0)); /* no receivers is no lack of memory */
  es_arena_destroy(arena);
  es_arena_destroy(NULL);
}

/* --- faults ----------------------------------------------------------------------------------------------------------------- */

static void faults_are_kept_in_order_and_once(void **state) {
  (void)state;
  es_faults faults = {0};
  for (int i = 0; i < 40; i++) es_fault_add(&faults, "job.yaml", i, "height_m=%d: want 0 to 500", 1000 + i);
  es_fault_add(&faults, "job.yaml", 3, "height_m=%d: want 0 to 500", 1003);
  es_note_add(&faults, NULL, 0, "climate left at its fallback");
  es_note_add(&faults, NULL, 0, "climate left at its fallback");
  assert_int_equal(faults.n, 41);
  assert_int_equal(faults.n_faults, 40); /* the note stops nothing */
  assert_string_equal(faults.items[7].text, "height_m=1007: want 0 to 500");
  assert_int_equal(faults.items[7].line, 7);
  assert_true(faults.items[40].note && faults.items[40].file == NULL);
  es_faults_free(&faults);
  assert_int_equal(faults.n, 0);
}

static void a_note_and_a_fault_of_the_same_words_are_two(void **state) {
  (void)state;
  es_faults faults = {0};
  es_note_add(&faults, "a", 1, "x");
  es_fault_add(&faults, "a", 1, "x");
  es_fault_add(&faults, "b", 1, "x");
  es_fault_add(&faults, NULL, 1, "x");
  assert_int_equal(faults.n, 4);
  assert_int_equal(faults.n_faults, 3);
  es_faults_free(&faults);
}

/* --- status ------------------------------------------------------------------------------------------------------------------ */

static void failing_fills_code_and_detail(void **state) {
  (void)state;
  es_error err = {0};
  assert_int_equal(es_fail(&err, ES_E_RANGE, "freq_ghz=%g, want 0.03 to 50", 99.0), ES_E_RANGE);
  assert_int_equal(err.status, ES_E_RANGE);
  assert_string_equal(err.detail, "freq_ghz=99, want 0.03 to 50");
  assert_int_equal(es_fail(NULL, ES_E_FILE, "nobody listens"), ES_E_FILE);
  char long_text[600];
  memset(long_text, 'x', sizeof long_text);
  long_text[599] = '\0';
  es_fail(&err, ES_E_INPUT, "%s", long_text);
  assert_int_equal(strlen(err.detail), 239);
}

static void every_code_has_words(void **state) {
  (void)state;
  const char *unknown = es_status_text(9999);
#define X(name, value, text) assert_string_equal(es_status_text(name), text);
  ES_STATUS_TABLE(X)
#undef X
  for (int32_t code = ES_OK; code <= ES_FAILED; code++) assert_string_not_equal(es_status_text(code), unknown);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pieces_are_apart_and_aligned),
      cmocka_unit_test(a_piece_may_be_larger_than_any_block),
      cmocka_unit_test(a_mark_gives_back_what_came_after_it),
      cmocka_unit_test(an_empty_mark_empties_the_arena),
      cmocka_unit_test(zeroed_memory_is_zero_even_when_used_before),
      cmocka_unit_test(impossible_wishes_get_nothing),
      cmocka_unit_test(faults_are_kept_in_order_and_once),
      cmocka_unit_test(a_note_and_a_fault_of_the_same_words_are_two),
      cmocka_unit_test(failing_fills_code_and_detail),
      cmocka_unit_test(every_code_has_words),
  };
  return cmocka_run_group_tests_name("arena, faults, status", tests, NULL, NULL);
}
