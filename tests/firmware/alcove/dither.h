/* Brightness to modulator codes. Near the bottom a code is a large step, so two neighbours take turns. */
#ifndef DITHER_H
#define DITHER_H

#include <stdbool.h>
#include "curve.h"

void dither_init(void);
/* Sends a channel's brightness for this tick; true when the next tick would send the same code. */
bool dither_send(uint32_t channel, light_t brightness);

#endif
