/* The console: one command a line, answered with ok or no and a reason. */
#ifndef CONSOLE_H
#define CONSOLE_H

#include <stdbool.h>
#include <stdint.h>

/* True when this byte completed a line that was not empty. */
bool console_take(uint8_t byte);
/* The last line asked for a restart. */
bool console_wants_restart(void);

#endif
