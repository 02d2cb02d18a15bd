/* Levels in the slots of DMX512, and of sACN: the dim level, then the channels. */
#ifndef SLOTS_H
#define SLOTS_H

#include <stdbool.h>
#include <stdint.h>

void slots_break(void);
/* True when this byte completed a frame that changed the light. */
bool slots_take(uint8_t byte);
/* The signal is gone. True when that changed the light. */
bool slots_lost(void);
/* Looks for a line that has fallen silent. True when that changed the light. */
bool slots_watch(void);
/* A signal is there, and its loss may come. */
bool slots_watching(void);

#endif
