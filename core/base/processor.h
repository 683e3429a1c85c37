/* processor.h - which of a kernel's forms this processor runs. */
#ifndef EARSHOT_BASE_PROCESSOR_H
#define EARSHOT_BASE_PROCESSOR_H

/* 2, 3 or 4: the highest of the x86-64 levels that kernels are compiled for and this processor has. Other processors have
 * one form of each kernel and do not ask. [any thread] */
int es_x86_level(void);

#endif
