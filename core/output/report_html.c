/* report_html.c - the answer, the cautions and the listeners' table as HTML. */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "output/markup.h"
#include "output/report_parts.h"

static const char *text_of(const json_t *object, const char *key) {
  const char *text = json_string_value(json_object_get(object, key));
  return text != NULL ? text : "";
}

static double number_of(const json_t *object, const char *key) {
  const json_t *value = json_object_get(object, key);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

static void put_element(FILE *out, const char *tag, const char *text) {
  fprintf(out, "<%s>", tag);
  es_put_markup(out, text);
  fprintf(out, "</%s>", tag);
}

/* Marks are drawn once, in the template; here they are used. */
static void put_mark(FILE *out, const char *shape) {
  fprintf(out, "<svg class=\"mk\" width=\"16\" height=\"16\" aria-hidden=\"true\"><use href=\"#m-%s\"/></svg>", shape);
}

/* --- the answer -------------------------------------------------------------------------------------------------------------- */

static void put_facts(FILE *out, const json_t *facts) {
  size_t i;
  const json_t *fact;
  fputs("<ul class=\"f\">", out);
  json_array_foreach(facts, i, fact) {
    fputs("<li>", out);
    put_element(out, "b", json_string_value(json_array_get(fact, 0)));
    es_put_markup(out, json_string_value(json_array_get(fact, 1)));
    fputs("</li>", out);
  }
  fputs("</ul>", out);
}

static void put_step(FILE *out, const json_t *step, json_int_t count) {
  fprintf(out, "<li><span class=\"sw\" style=\"background:%s\"></span><span class=\"w\">", text_of(step, "land"));
  es_put_markup(out, text_of(step, "word"));
  put_element(out, "small", text_of(step, "range"));
  fputs("</span><span class=\"row\" aria-hidden=\"true\">", out);
  for (json_int_t k = 0; k < count && k < 60; k++) put_mark(out, text_of(step, "shape"));
  fprintf(out, "</span><b>%lld<span class=\"vh\"> listeners</span></b></li>", (long long)count);
}

/* From most to least. */
static void put_counts(FILE *out, const json_t *data) {
  const json_t *steps = json_object_get(json_object_get(data, "steps"), text_of(data, "kind")),
               *counts = json_object_get(data, "counts");
  fputs("<div class=\"card\"><h3>", out);
  es_put_markup(out, text_of(data, "counts_title"));
  fputs("</h3><ul class=\"unit\">", out);
  for (size_t i = json_array_size(steps); i-- > 0;)
    put_step(out, json_array_get(steps, i), json_integer_value(json_array_get(counts, i)));
  fputs("</ul></div>", out);
}

void es_report_put_answer(FILE *out, const json_t *data) {
  const json_t *answer = json_object_get(data, "answer");
  fputs("<div class=\"answer\"><div><h1 id=\"h-a\">", out);
  es_put_markup(out, text_of(answer, "title"));
  fputs("</h1>", out);
  put_facts(out, json_object_get(answer, "facts"));
  fputs("</div>", out);
  put_counts(out, data);
  fputs("</div>", out);
  es_report_put_cautions(out, data, 2);
  size_t n = json_array_size(json_object_get(data, "cautions"));
  if (n > 2) fprintf(out, "<p><small>%zu cautions in all, <a href=\"#cautions\">below</a>.</small></p>", n);
}

void es_report_put_cautions(FILE *out, const json_t *data, size_t most) {
  const json_t *list = json_object_get(data, "cautions"), *caution;
  size_t i;
  if (json_array_size(list) == 0) return;
  fputs("<div class=\"caution\" role=\"note\"><svg width=\"28\" height=\"28\" aria-hidden=\"true\"><use "
        "href=\"#caution\"/>"
        "</svg><div><span class=\"vh\">Caution</span>",
        out);
  json_array_foreach(list, i, caution) {
    if (i == most) break;
    fputs("<p>", out);
    put_element(out, "b", json_string_value(json_array_get(caution, 0)));
    fputc(' ', out);
    es_put_markup(out, json_string_value(json_array_get(caution, 1)));
    fputs("</p>", out);
  }
  fputs("</div></div>", out);
}

/* --- the table ------------------------------------------------------------------------------------------------------------------ */

static void put_percent(FILE *out, double percent) {
  if (isnan(percent))
    fputs("\u2013", out);
  else if (percent < 1.0)
    fputs("under 1\u00a0%", out);
  else if (percent > 99.0)
    fputs("&gt;99\u00a0%", out);
  else
    fprintf(out, "%.0f\u00a0%%", percent);
}

static void put_level(FILE *out, double db) {
  if (isnan(db))
    fputs("\u2013", out);
  else
    fprintf(out, "%s%.0f\u00a0dB", db < 0.0 ? "\u2212" : "+", fabs(db));
}

static void put_row(FILE *out, const json_t *data, const json_t *listener, const json_t *path) {
  bool timed = json_is_true(json_object_get(data, "timed"));
  const json_t *best = json_object_get(path, "best");
  fputs("<tr><th scope=\"row\">", out);
  put_mark(out, text_of(path, "shape"));
  fputc(' ', out);
  es_put_markup(out, text_of(listener, "name"));
  fputs("</th><td class=\"h\">", out);
  if (timed)
    put_percent(out, number_of(path, "heard_percent"));
  else
    put_level(out, number_of(path, "snr_p50"));
  fputs("</td>", out);
  for (size_t i = timed ? 0 : 1; i < (timed ? 3u : 2u); i++) {
    const char *mode = json_string_value(json_array_get(best, i));
    fputs("<td class=\"m\">", out);
    es_put_markup(out, mode != NULL ? mode : "\u2013");
    fputs("</td>", out);
  }
  put_element(out, "td", text_of(path, "limited"));
  fprintf(out, "<td class=\"n\">%.1f</td><td class=\"n\">%03.0f</td></tr>\n", number_of(listener, "km"),
          fmod(round(number_of(listener, "bearing_deg")), 360.0));
}

void es_report_put_table(FILE *out, const json_t *data) {
  const json_t *listeners = json_object_get(data, "listeners"), *listener;
  const json_t *paths =
      json_array_get(json_object_get(data, "paths"), (size_t)json_integer_value(json_object_get(data, "shown_first")));
  bool timed = json_is_true(json_object_get(data, "timed"));
  fputs("<table><caption>", out);
  es_put_markup(out, text_of(data, "table_caption"));
  fputs(timed ? "</caption><thead><tr><th scope=\"col\">Listener</th><th scope=\"col\">Heard, % of the year</th>"
                "<th scope=\"col\">works 90 % of the time</th><th scope=\"col\">half the time</th>"
                "<th scope=\"col\">10 % of the time</th>"
              : "</caption><thead><tr><th scope=\"col\">Listener</th><th scope=\"col\">SNR in 2500 Hz</th>"
                "<th scope=\"col\">best mode</th>",
        out);
  fputs(
      "<th scope=\"col\">Limited by</th><th scope=\"col\">km</th><th scope=\"col\">from north, \u00b0</th></tr></thead>"
      "<tbody>\n",
      out);
  size_t i;
  json_array_foreach(listeners, i, listener) put_row(out, data, listener, json_array_get(paths, i));
  fputs("</tbody></table>", out);
}
