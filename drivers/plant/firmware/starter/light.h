/* The light: one dim level, one intensity for each channel, and the way there. Light is relative, 0 to 1. */
#ifndef LIGHT_H
#define LIGHT_H

#include <stdbool.h>
#include <stdint.h>
#include "board.h"

typedef struct {
  double level;
  double intensity[CHANNELS];
} target_t;

void light_init(void);
/* Fades to the target; 0 is at once. */
void light_go(const target_t *wanted, uint32_t milliseconds);
/* The same from one frame of a stream to the next. */
void light_glide(const target_t *wanted, uint32_t microseconds);
/* Where it goes, or is. */
const target_t *light_target(void);
/* One tick; `dark` keeps the drives off. True when the next tick would change nothing. */
bool light_tick(bool dark);
/* The light of a position on a logarithmic curve: 0 is its bottom, 1 full. */
double curve_at(double position);

#endif
