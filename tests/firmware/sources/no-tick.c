/* Forgets the control tick. */
#include "lamp-port.h"

void lamp_init(void) {}
