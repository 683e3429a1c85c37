/* test_models.c - opening models, refusing what is none, and giving them their settings. Little models: tests/abi. */
#include "near.h"

#include <string.h>

#include "model/chain.h"

/* A fault (or note) about `file` that says `words`; fails the test when there is none. */
static const es_fault *fault_of(const es_faults *faults, const char *file, const char *words) {
  for (size_t i = 0; i < faults->n; i++) {
    const es_fault *f = &faults->items[i];
    if (f->file != NULL && strstr(f->file, file) != NULL && strstr(f->text, words) != NULL) return f;
  }
  for (size_t i = 0; i < faults->n; i++)
    print_message("there is: %s:%ld: %s\n", faults->items[i].file, faults->items[i].line, faults->items[i].text);
  fail_msg("no fault about %s saying '%s'", file, words);
  return NULL;
}

static es_model_set open_set(const char *folder) {
  es_model_set set = {0};
  es_faults faults = {0};
  assert_true(es_models_open(&folder, 1, true, &set, &faults));
  assert_int_equal(faults.n, 0);
  return set;
}

/* --- opening ------------------------------------------------------------------------------------------------------------- */

static const struct refusal {
  const char *file, *reason;
} refusals[] = {
    {"/other-abi.so", "it speaks interface version 8, this program 1"},
    {"/no-symbol.so", "it exports no es_model_entry"},
    {"/wrong-role.so", "its role is none of"},
    {"/no-way.so", "it touches no way"},
    {"/short-struct.so", "it has no evaluate()"},
    {"/no-id.so", "it has no id"},
    {"/too-large.so", "its es_model_entry says"},
    {"/no-choice.so", "a setting's fallback is none of its choices"},
    {"/no-key.so", "a setting has no key or no unit"},
    {"/text.so", "not a model"},
};

static void what_is_no_model_is_refused_with_its_reason(void **state) {
  (void)state;
  const char *folder = ES_BROKEN_MODELS;
  es_model_set set = {0};
  es_faults faults = {0};
  assert_false(es_models_open(&folder, 1, true, &set, &faults));
  size_t n = sizeof refusals / sizeof *refusals;
  assert_int_equal(faults.n, n); /* one line each, and none about readme.txt */
  assert_int_equal(faults.n_faults, n);
  for (size_t i = 0; i < n; i++) {
    const es_fault *f = fault_of(&faults, refusals[i].file, refusals[i].reason);
    assert_null(strchr(f->text, '\n'));
    assert_false(f->note);
  }
  assert_int_equal(set.n, 1); /* the good one among them is kept */
  assert_string_equal(set.items[0].is.id, "good");
  es_faults_free(&faults);
  es_models_close(&set);
}

/* In a folder the user did not name they are notes: the run goes on. */
static void in_the_installed_folder_it_is_only_noted(void **state) {
  (void)state;
  const char *folder = ES_BROKEN_MODELS;
  es_model_set set = {0};
  es_faults faults = {0};
  assert_true(es_models_open(&folder, 1, false, &set, &faults));
  assert_int_equal(faults.n_faults, 0);
  assert_int_equal(faults.n, sizeof refusals / sizeof *refusals);
  es_faults_free(&faults);
  es_models_close(&set);
}

static void a_folder_that_is_not_there(void **state) {
  (void)state;
  const char *folder = "/nowhere/at/all";
  es_model_set set = {0};
  es_faults faults = {0};
  assert_true(es_models_open(&folder, 1, false, &set, &faults));
  assert_int_equal(faults.n, 0);
  assert_false(es_models_open(&folder, 1, true, &set, &faults));
  fault_of(&faults, folder, "not a folder of models");
  es_faults_free(&faults);
  es_models_close(&set);
}

static void the_first_folder_with_an_id_wins(void **state) {
  (void)state;
  const char *folders[] = {ES_TEST_MODELS, ES_BROKEN_MODELS}; /* works.so in the second is "good" again */
  es_model_set set = {0};
  es_faults faults = {0};
  es_models_open(folders, 2, false, &set, &faults);
  size_t found = 0;
  for (size_t i = 0; i < set.n; i++) found += strcmp(set.items[i].is.id, "good") == 0;
  assert_int_equal(found, 1);
  assert_non_null(strstr(es_model_find(&set, "good")->path, "/good.so"));
  assert_null(es_model_find(&set, "nothing"));
  es_faults_free(&faults);
  es_models_close(&set);
}

/* Built when the structure was shorter: the host keeps what it knows and zeroes the rest. */
static void an_older_structure_is_taken_as_far_as_it_goes(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_loaded_model *older = es_model_find(&set, "older");
  assert_non_null(older);
  assert_non_null(older->is.evaluate);
  assert_null(older->is.destroy); /* its library holds bytes there: they must not be read */
  es_models_close(&set);
}

/* Built when the structure was longer: what the host does not know is passed over. */
static void a_later_structure_is_taken_as_far_as_it_is_known(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_loaded_model *longer = es_model_find(&set, "longer");
  assert_non_null(longer);
  assert_true(longer->is.size > sizeof(es_model));
  assert_non_null(longer->is.evaluate);
  assert_int_equal(longer->is.can, 0);
  es_models_close(&set);
}

/* --- settings ---------------------------------------------------------------------------------------------------------------- */

static bool make(es_model_set *set, const es_model_setting *settings, size_t n, const char *convention,
                 es_faults *faults, es_chain *chain) {
  char id[] = "good", *ids[] = {id};
  return es_chain_make(ES_CHAIN_WHOLE_YEAR, ids, 1, set, settings, n, convention, "job.yaml", faults, chain);
}

static es_model_setting setting(const char *key, const char *value, long line) {
  return (es_model_setting){(char *)(uintptr_t) "good", (char *)(uintptr_t)key, (char *)(uintptr_t)value, line};
}

static void settings_have_defaults(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  assert_true(make(&set, NULL, 0, NULL, &faults, &chain));
  assert_int_equal(chain.n, 1);
  assert_near(chain.models[0]->values[0], 1.5, 0.0);
  assert_near(chain.models[0]->values[1], 0.0, 0.0);
  assert_near(chain.models[0]->values[2], 1.0, 0.0);
  es_models_close(&set);
}

static void settings_are_parsed(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  es_model_setting given[] = {setting("level", "-10", 4), setting("shape", "steep", 5)};
  assert_true(make(&set, given, 2, "p2001", &faults, &chain));
  assert_near(chain.models[0]->values[0], -10.0, 0.0); /* the border itself is allowed */
  assert_near(chain.models[0]->values[1], 1.0, 0.0);
  assert_near(chain.models[0]->values[2], 0.0, 0.0);
  char text[32];
  es_setting_text(&chain.models[0]->is.settings[0], -10.0, text, sizeof text);
  assert_string_equal(text, "-10 dB");
  es_setting_text(&chain.models[0]->is.settings[1], 1.0, text, sizeof text);
  assert_string_equal(text, "steep");
  es_models_close(&set);
}

/* A run's convention is a wish: a model that has no such choice keeps its own default. */
static void a_convention_a_model_does_not_know_leaves_its_default(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  assert_true(make(&set, NULL, 0, "p526", &faults, &chain));
  assert_near(chain.models[0]->values[2], 1.0, 0.0);
  es_models_close(&set);
}

static void the_jobs_own_setting_beats_the_convention(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  es_model_setting given[] = {setting("convention", "p452", 4)};
  assert_true(make(&set, given, 1, "p2001", &faults, &chain));
  assert_near(chain.models[0]->values[2], 1.0, 0.0);
  es_models_close(&set);
}

static void faulty_settings_are_told_together(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  es_model_setting given[] = {setting("lever", "3", 11),    setting("level", "10.1", 12), setting("level", "much", 13),
                              setting("shape", "stee", 14), setting("level", "nan", 15),  setting("shape", "", 16),
                              {"nobody", "level", "3", 17}, {"total", "x", "y", 18}};
  assert_false(make(&set, given, 8, NULL, &faults, &chain));
  assert_int_equal(fault_of(&faults, "job.yaml", "good has no setting lever")->line, 11);
  assert_int_equal(fault_of(&faults, "job.yaml", "level=10.1: want a number from -10 to 10 dB")->line, 12);
  assert_int_equal(fault_of(&faults, "job.yaml", "level=much: want a number")->line, 13);
  assert_int_equal(fault_of(&faults, "job.yaml", "shape=stee: want one of flat|steep")->line, 14);
  assert_int_equal(fault_of(&faults, "job.yaml", "level=nan: want a number")->line, 15);
  assert_int_equal(fault_of(&faults, "job.yaml", "shape=: want one of")->line, 16);
  assert_int_equal(fault_of(&faults, "job.yaml", "there is no model nobody")->line, 17);
  assert_int_equal(fault_of(&faults, "job.yaml", "total takes no part in this run")->line, 18);
  assert_true(fault_of(&faults, "job.yaml", "total takes no part in this run")->note);
  assert_int_equal(faults.n_faults, 7);
  es_faults_free(&faults);
  es_models_close(&set);
}

static void a_model_that_cannot_be_set_up_says_why(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  char id[] = "unready", *ids[] = {id};
  assert_false(es_chain_make(ES_CHAIN_WHOLE_YEAR, ids, 1, &set, NULL, 0, NULL, "job.yaml", &faults, &chain));
  fault_of(&faults, "/unready.so", "model unready cannot be set up: its data are elsewhere");
  es_faults_free(&faults);
  es_models_close(&set);
}

/* --- chains -------------------------------------------------------------------------------------------------------------------- */

static void faulty_lists_of_models(void **state) {
  (void)state;
  es_model_set set = open_set(ES_TEST_MODELS);
  es_faults faults = {0};
  es_chain chain;
  char good[] = "good", gone[] = "gone", older[] = "older";
  char *ids[] = {good, gone, older, good};
  assert_false(es_chain_make(ES_CHAIN_WHOLE_YEAR, ids, 4, &set, NULL, 0, NULL, "job.yaml", &faults, &chain));
  fault_of(&faults, "job.yaml", "gone is not installed");
  fault_of(&faults, "job.yaml", "good is listed twice");
  assert_int_equal(faults.n_faults, 2);
  assert_int_equal(chain.n, 2); /* the rest is kept */
  es_faults_free(&faults);
  assert_false(es_chain_make(ES_CHAIN_WHOLE_YEAR, ids, 0, &set, NULL, 0, NULL, "job.yaml", &faults, &chain));
  fault_of(&faults, "job.yaml", "none, want at least one");
  es_faults_free(&faults);
  assert_false(es_chain_make(ES_CHAIN_OPENINGS, NULL, 0, &set, NULL, 0, NULL, "job.yaml", &faults, &chain));
  fault_of(&faults, "job.yaml", "openings is not installed");
  es_faults_free(&faults);
  es_models_close(&set);
}

static void each_chain_has_its_own_list(void **state) {
  (void)state;
  static const struct own {
    es_chain_kind kind;
    const char *ids;
    bool fixed;
  } lists[] = {{ES_CHAIN_DIFFRACTION, "free-space diffraction gases ", true},
               {ES_CHAIN_WHOLE_YEAR, "free-space diffraction gases clear-air rain ducting troposcatter ", false},
               {ES_CHAIN_OPENINGS, "openings ", false}};
  for (size_t i = 0; i < 3; i++) {
    es_model_set set = open_set(ES_MODELS);
    es_faults faults = {0};
    es_chain chain;
    assert_true(es_chain_make(lists[i].kind, NULL, 0, &set, NULL, 0, "p2001", "job.yaml", &faults, &chain));
    char ids[256] = "";
    for (size_t m = 0; m < chain.n; m++) strcat(strcat(ids, chain.models[m]->is.id), " ");
    assert_string_equal(ids, lists[i].ids);
    assert_int_equal(chain.fixed_radius, lists[i].fixed);
    es_faults_free(&faults);
    es_models_close(&set);
  }
}

/* Every installed model describes itself fully, with settings the host can print. */
static void installed_models_describe_themselves(void **state) {
  (void)state;
  es_model_set set = open_set(ES_MODELS);
  assert_true(set.n >= 8);
  for (size_t i = 0; i < set.n; i++) {
    const es_model *m = &set.items[i].is;
    assert_non_null(strstr(set.items[i].path, m->id)); /* found where its id says */
    assert_true(m->title != NULL && m->source != NULL && m->title[0] != '\0' && m->source[0] != '\0');
    assert_true(m->min_ghz < m->max_ghz && m->min_km < m->max_km);
    assert_string_not_equal(es_role_name(m->role), "?");
    for (size_t s = 0; s < m->n_settings; s++) {
      const es_setting *k = &m->settings[s];
      assert_true(k->key != NULL && k->unit != NULL && k->help != NULL);
      assert_true(k->min <= k->fallback && k->fallback <= k->max);
    }
  }
  assert_string_equal(es_role_name(0), "?");
  assert_string_equal(es_role_name(7), "?");
  es_models_close(&set);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(what_is_no_model_is_refused_with_its_reason),
      cmocka_unit_test(in_the_installed_folder_it_is_only_noted),
      cmocka_unit_test(a_folder_that_is_not_there),
      cmocka_unit_test(the_first_folder_with_an_id_wins),
      cmocka_unit_test(an_older_structure_is_taken_as_far_as_it_goes),
      cmocka_unit_test(a_later_structure_is_taken_as_far_as_it_is_known),
      cmocka_unit_test(settings_have_defaults),
      cmocka_unit_test(settings_are_parsed),
      cmocka_unit_test(a_convention_a_model_does_not_know_leaves_its_default),
      cmocka_unit_test(the_jobs_own_setting_beats_the_convention),
      cmocka_unit_test(faulty_settings_are_told_together),
      cmocka_unit_test(a_model_that_cannot_be_set_up_says_why),
      cmocka_unit_test(faulty_lists_of_models),
      cmocka_unit_test(each_chain_has_its_own_list),
      cmocka_unit_test(installed_models_describe_themselves),
  };
  return cmocka_run_group_tests_name("models", tests, NULL, NULL);
}
