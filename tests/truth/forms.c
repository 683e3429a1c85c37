#include "forms.h"

static const struct {
  const char *name;
  es_chain_kind chain;
  const char *model, *key, *value;
} of[TRUTH_FORMS] = {
    {"whole-year, p2001", ES_CHAIN_WHOLE_YEAR, "troposcatter", "variant", "p2001"},
    {"whole-year, p617", ES_CHAIN_WHOLE_YEAR, "troposcatter", "variant", "p617"},
    {"whole-year, p452", ES_CHAIN_WHOLE_YEAR, "troposcatter", "variant", "p452"},
    {"openings, p452", ES_CHAIN_OPENINGS, "openings", "troposcatter", "p452"},
    {"openings, p617", ES_CHAIN_OPENINGS, "openings", "troposcatter", "p617"},
};

truth_form truth_form_of(int form, truth_zoning zoning, truth_climate climate) {
  return (truth_form){of[form].name, of[form].chain, {{of[form].model, of[form].key, of[form].value}}, zoning, climate};
}
