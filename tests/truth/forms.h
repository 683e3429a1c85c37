/* forms.h - the ways of predicting that are judged: every chain and troposcatter form over every way of telling zones. */
#ifndef EARSHOT_TRUTH_FORMS_H
#define EARSHOT_TRUTH_FORMS_H

#include "predict.h"

enum { TRUTH_FORMS = 5 }; /* chain and form of troposcatter */
/* The program's own choice: whole-year with its default settings; and its second opinion for p <= 50 %. */
enum { TRUTH_WHOLE_YEAR_P2001, TRUTH_WHOLE_YEAR_P617, TRUTH_WHOLE_YEAR_P452, TRUTH_OPENINGS_P452, TRUTH_OPENINGS_P617 };

truth_form truth_form_of(int form, truth_zoning zoning, truth_climate climate);

#endif
