#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>

const char *es_status_text(int32_t code) {
  switch (code) {
#define X(name, value, text)                                                                                           \
  case name: return text;
    ES_STATUS_TABLE(X)
#undef X
  case ES_OK: return "ok";
  case ES_OUTSIDE: return "outside the model's range";
  case ES_MISSING: return "missing";
  case ES_FAILED: return "failed";
  default: return "unknown";
  }
}

int32_t es_fail(es_error *err, int32_t code, const char *format, ...) {
  if (err != NULL) {
    va_list args;
    va_start(args, format);
    err->status = code;
    vsnprintf(err->detail, sizeof err->detail, format, args);
    va_end(args);
  }
  return code;
}
