/* The light of the lamp: one dim level, one intensity for each channel, and the way there. */
#ifndef LIGHT_H
#define LIGHT_H

#include <stdbool.h>
#include "board.h"
#include "curve.h"

typedef struct {
  light_t level;
  light_t intensity[CHANNELS];
} target_t;

void light_init(void);
/* Fades to the target in so many ticks; 0 is at once. */
void light_go(const target_t *target, uint32_t ticks);
/* The same, where a dark end of the dim level counts as `floor` and not as the bottom of the curve. */
void light_go_above(const target_t *target, uint32_t ticks, light_t floor);
/* One of a run of short ways: a channel that goes dark already arrives when it would have. */
void light_glide(const target_t *target, uint32_t ticks);
/* Ways that were ordered since the start. */
uint32_t light_orders(void);
/* Stops where the light is. */
void light_hold(void);
const target_t *light_target(void);
/* The dim level at this moment. */
light_t light_level(void);
bool light_moving(void);
/* A fade that takes time is running. */
bool light_fading(void);
/* One tick; `dark` keeps the drives off. Returns true when the next tick would change nothing. */
bool light_tick(bool dark);
uint32_t ticks_of_ms(uint32_t milliseconds);

#endif
