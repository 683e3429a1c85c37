/* crash.c - a model that raises a signal is told by name and ends the run as any other stop does: what is whole is kept.
 *
 * Models are foreign code in our own process; after such a signal its memory cannot be trusted, so nothing more is done
 * than to say so and leave. A signal of our own code is passed on to whoever was asked before (a checked build reports it).
 * A model that overruns its stack ends the program without a word: there is no stack left to speak from.                */
#include <signal.h>
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

static void say(const char *text) {
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
  if (model == NULL) return; /* the same instruction runs again, into the former handler */
  say("\nearshot: model ");
  say(model);
  say(" raised ");
  say(name);
  say(": the run stops here; what is whole is kept (leave the model out of the job, or mend it)\n");
  _exit(ES_EXIT_STOPPED);
}

void es_crash_watch(void) {
  struct sigaction action = {.sa_handler = on_crash};
  for (int i = 0; i < SIGNALS; i++) sigaction(signals[i].number, &action, &before[i]);
}
