/* What comes back after a power loss. */
#ifndef MEMORY_H
#define MEMORY_H

#include <stdbool.h>

/* Writes the target of the light and the registers of the DALI gear. */
void memory_keep(void);
/* Brings them back; false when the memory is new or damaged. */
bool memory_restore(void);

#endif
