/* Brightnesses on their way: straight in the logarithm, all at their targets in the same tick. */
#ifndef FADE_H
#define FADE_H

#include <stdbool.h>
#include "curve.h"

typedef struct {
  light_t present;
  light_t target;
  /* What a dark end counts as, or the other end where that is lower. */
  light_t floor;
  log_t from;
  log_t to;
  /* Ticks. */
  uint32_t start;
  uint32_t duration;
  bool moving;
} fade_t;

void fade_order(fade_t *fade, light_t target, uint32_t duration, uint32_t now);
void fade_hold(fade_t *fade);
void fade_advance(fade_t *fade, uint32_t now);

#endif
