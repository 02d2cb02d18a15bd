/* Slots to light: of DMX512, and of sACN where the lamp receives that by itself. */
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

/* The slots of this lamp, whole, from a receiver of sACN beside the line. True when they change the light. */
bool dmx_network_frame(const uint8_t *frame);
void dmx_network_lost(void);

#endif
