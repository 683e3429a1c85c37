/* markup.h - any text as characters of XML 1.0 and of HTML [GLib]. */
#ifndef EARSHOT_OUTPUT_MARKUP_H
#define EARSHOT_OUTPUT_MARKUP_H

#include <stdio.h>

/* Writes text so that it stays text in an element or in a quoted attribute. What XML 1.0 cannot hold (control characters but
 * tab and line ends, U+FFFE, U+FFFF) becomes a blank; bytes that are no UTF-8 become U+FFFD. NULL writes nothing. */
void es_put_markup(FILE *out, const char *text);

#endif
