/* One firmware that breaks in the way its console names. */
#include "lamp-port.h"

static uint32_t ticks;

void lamp_init(void) { lamp_set_analogue(0, 8); }

bool lamp_tick(void)
{
  ticks++;
  lamp_set_drive(0, ticks & 255);
  return false;
}

static uint32_t deep(uint32_t depth)
{
  volatile uint32_t frame[64];
  frame[depth & 63] = depth;
  return deep(depth + 1) + frame[depth & 63];
}

void lamp_receive_console(uint8_t byte)
{
  volatile uint32_t zero = 0;
  switch (byte) {
    case 't': __builtin_trap();
    case 'd': ticks = ticks / zero; break;
    case 's': ticks = deep(0); break;
    case 'l': for (;;) zero = zero + 0; break;
    case 'm': while (__builtin_wasm_memory_grow(0, 64) != (__SIZE_TYPE__)-1 && __builtin_wasm_memory_size(0) < 1024) {} break;
    case 'r': lamp_restart(); break;
  }
}
