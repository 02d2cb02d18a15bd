/* sACN (ANSI E1.31-2018): which of several sources has the light, and when. Built with `make SACN=1`. */
#ifndef SACN_H
#define SACN_H

#include <stdbool.h>
#include <stdint.h>

/* `head` is as of sacn-packet.h. True when the datagram changes the light. */
bool sacn_take(const uint8_t *head, uint32_t length);
/* Looks which sources are gone; call it every tick. True when that changes the light. */
bool sacn_watch(void);
/* Time has still to be told of a source, or of who synchronises. */
bool sacn_watching(void);

#endif
