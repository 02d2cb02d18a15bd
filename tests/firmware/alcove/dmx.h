/* DMX512: slots to light. */
#ifndef DMX_H
#define DMX_H

#include <stdbool.h>
#include <stdint.h>

void dmx_break(void);
/* True when this byte completed a frame that changes the light. */
bool dmx_take(uint8_t byte);
/* Looks whether the signal is gone; call it every tick. */
void dmx_watch(void);
void dmx_lost(void);
bool dmx_watching(void);

#endif
