/* What comes back after a power loss: the last level and mix. */
#ifndef MEMORY_H
#define MEMORY_H

#include <stdbool.h>
#include "light.h"

void memory_keep(const target_t *target);
/* False when the memory is new or damaged. */
bool memory_restore(target_t *target);

#endif
