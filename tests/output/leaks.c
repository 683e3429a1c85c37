/* leaks.c - for the leak checker: fontconfig keeps its tables for the life of the process. */
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void) { return "leak:libfontconfig\n"; }
