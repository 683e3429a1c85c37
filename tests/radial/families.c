/* families.c - see families.h. The generator is SplitMix64 (Steele, Lea, Flood 2014, doi 10.1145/2660193.2660195). */
#include "families.h"

#include <math.h>

uint64_t dice_next(dice *d) {
  uint64_t z = d->state += 0x9e3779b97f4a7c15u;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

double dice_between(dice *d, double low, double high) {
  return low + (high - low) * (double)(dice_next(d) >> 11) * 0x1p-53;
}

size_t dice_whole(dice *d, size_t low, size_t high) { return low + (size_t)(dice_next(d) % (high - low + 1)); }

double dice_log_between(dice *d, double low, double high) { return exp(dice_between(d, log(low), log(high))); }

/* Rough ground: waves of halving length whose heights fall by 2^-hurst an octave. */
static void fractal(dice *d, size_t n, double *h, double hurst, double height) {
  for (size_t i = 0; i < n; i++) h[i] = 0.0;
  double amplitude = height;
  for (double length = (double)n; length >= 2.0; length *= 0.5, amplitude *= pow(0.5, hurst))
    for (int wave = 0; wave < 2; wave++) {
      double phase = dice_between(d, 0.0, 6.2831853), rate = 6.2831853 / (length * dice_between(d, 0.7, 1.3));
      for (size_t i = 0; i < n; i++) h[i] += amplitude * sin(phase + rate * (double)i);
    }
}

static void floor_at(size_t n, double *h, double least) {
  for (size_t i = 0; i < n; i++) h[i] = fmax(h[i], least);
}

static void ramp(size_t n, double *h, double from, double to) {
  for (size_t i = 0; i < n; i++) h[i] = from + (to - from) * (double)i / (double)n;
}

static void arch(size_t n, double *h, double base, double rise) {
  for (size_t i = 0; i < n; i++) {
    double x = 2.0 * (double)i / (double)n - 1.0;
    h[i] = base + rise * (1.0 - x * x);
  }
}

static void steps(dice *d, size_t n, double *h) {
  double level = 100.0;
  for (size_t i = 0; i < n; i++) {
    if (dice_whole(d, 0, 9) == 0) level = dice_between(d, 0.0, 300.0);
    h[i] = level;
  }
}

enum {
  ROUGH,
  MIDDLING,
  ROLLING,
  ISLANDS,
  ZERO,
  CONSTANT,
  ONE_PEAK,
  RISING,
  FALLING,
  DOME,
  BOWL,
  NOISE,
  STEPS,
  WHOLE_METRES,
  FEW_METRES,
  CLIFF,
  SUMMIT_SEA,
  SUMMIT_HILLS
};

static const char *const names[FAMILIES] = {"rough hills",
                                            "middling hills",
                                            "rolling hills",
                                            "sea with islands",
                                            "zero",
                                            "constant",
                                            "one peak",
                                            "rising ramp",
                                            "falling ramp",
                                            "dome",
                                            "bowl",
                                            "white noise",
                                            "steps",
                                            "whole metres",
                                            "few metres",
                                            "cliff",
                                            "summit over sea",
                                            "summit over hills"};

const char *family_name(size_t family) { return names[family]; }

void family_fill(size_t family, dice *d, size_t n, double *h) {
  ramp(n, h, 0.0, 0.0);
  switch (family) {
  case ROUGH: fractal(d, n, h, 0.4, dice_between(d, 5.0, 300.0)); break;
  case MIDDLING: fractal(d, n, h, 0.8, dice_between(d, 5.0, 500.0)); break;
  case ROLLING: fractal(d, n, h, 1.2, dice_between(d, 5.0, 800.0)); break;
  case ISLANDS:
    fractal(d, n, h, 0.8, 200.0);
    floor_at(n, h, 0.0);
    break;
  case CONSTANT: ramp(n, h, 250.0, 250.0); break;
  case ONE_PEAK: h[dice_whole(d, 0, n - 1)] = dice_between(d, 1.0, 1000.0); break;
  case RISING: ramp(n, h, 10.0, 10.0 + dice_between(d, 1.0, 2000.0)); break;
  case FALLING: ramp(n, h, 10.0 + dice_between(d, 1.0, 2000.0), 10.0); break;
  case DOME: arch(n, h, 100.0, dice_between(d, 1.0, 500.0)); break;
  case BOWL: arch(n, h, 600.0, -dice_between(d, 1.0, 500.0)); break;
  case NOISE:
    for (size_t i = 0; i < n; i++) h[i] = dice_between(d, 0.0, 100.0);
    break;
  case STEPS: steps(d, n, h); break;
  case WHOLE_METRES:
    fractal(d, n, h, 0.8, 100.0);
    for (size_t i = 0; i < n; i++) h[i] = round(h[i]);
    break;
  case FEW_METRES:
    for (size_t i = 0; i < n; i++) h[i] = (double)dice_whole(d, 0, 3);
    break;
  case CLIFF:
    for (size_t i = 0; i < n; i++) h[i] = 2 * i < n ? 300.0 : 0.0;
    break;
  case SUMMIT_SEA: h[0] = dice_between(d, 500.0, 3000.0); break;
  case SUMMIT_HILLS:
    fractal(d, n, h, 0.8, 30.0);
    h[0] = dice_between(d, 500.0, 3000.0);
    break;
  default: break;
  }
}
