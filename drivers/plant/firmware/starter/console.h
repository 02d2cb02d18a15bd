/* The console: one command a line, answered with ok, or with no and a reason. */
#ifndef CONSOLE_H
#define CONSOLE_H

#include <stdbool.h>
#include <stdint.h>

/* True when this byte completed a line that changed the light. */
bool console_take(uint8_t byte);
/* A line asked for a restart. */
bool console_wants_restart(void);

#endif
