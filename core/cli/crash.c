/* crash.c - a model that raises a signal is told by name and ends the run as any other stop does: what is whole is kept.
 *
 * Models are foreign code in our own process; after such a signal its memory cannot be trusted, so nothing more is done
 * than to say so and leave. A signal of our own code is passed on to whoever was asked before (a checked build reports it).
 * A model that overruns its stack ends the program without a word: there is no stack left to speak from.                */
#include <signal.h>
#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"
#include "model/blame.h"

static const struct {
  int number;
  const char *name;
} signals[] = {{SIGSEGV, "SIGSEGV"}, {SIGBUS, "SIGBUS"}, {SIGFPE, "SIGFPE"}, {SIGILL, "SIGILL"}, {SIGABRT, "SIGABRT"}};
enum { SIGNALS = sizeof signals / sizeof *signals };

static struct sigaction before[SIGNALS];

/* Two threads may fall at once: the first speaks for both, the other waits for the end. */
static atomic_flag spoken = ATOMIC_FLAG_INIT;

static void append(char *text, size_t room, const char *more) {
  size_t used = strlen(text);
  for (; *more != '\0' && used + 1 < room; used++) text[used] = *more++;
  text[used] = '\0';
}

static void tell(const char *model, const char *signal_name) {
  char text[512] = "\nearshot: model "; /* put together by hand: stdio is not safe here */
  append(text, sizeof text - 160, model);
  append(text, sizeof text, " raised ");
  append(text, sizeof text, signal_name);
  append(text, sizeof text,
         ": the run stops here; what is whole is kept (leave the model out of the job, or mend it; ");
  append(text, sizeof text, "the same command goes on)\n");
  ssize_t wrote = write(STDERR_FILENO, text, strlen(text));
  (void)wrote; /* there is nobody else to tell */
}

static void on_crash(int number) {
  const char *model = es_blamed(), *name = "a signal";
  for (int i = 0; i < SIGNALS; i++) {
    if (signals[i].number != number) continue;
    name = signals[i].name;
    if (model == NULL) sigaction(number, &before[i], NULL);
  }
  if (model == NULL) { /* the same instruction runs again, into the former handler; an abort has none to run again */
    if (number == SIGABRT) raise(number);
    return;
  }
  while (atomic_flag_test_and_set(&spoken)) pause();
  tell(model, name);
  _exit(ES_EXIT_STOPPED);
}

void es_crash_watch(void) {
  struct sigaction action = {.sa_handler = on_crash};
  for (int i = 0; i < SIGNALS; i++) sigaction(signals[i].number, &action, &before[i]);
}
