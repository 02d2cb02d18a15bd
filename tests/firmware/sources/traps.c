/* One firmware that traps below functions of its own. */
#include "lamp-port.h"

#ifndef KEPT
#define KEPT __attribute__((noinline))
#endif

static volatile uint32_t zero;
static volatile bool due;

static KEPT uint32_t scaled(uint32_t value) { return value / zero; }
static KEPT uint32_t step_fade(uint32_t value) { return scaled(value) + 1; }
static KEPT uint32_t deep(uint32_t depth)
{
  volatile uint32_t frame[64];
  frame[depth & 63] = depth;
  return deep(depth + 1) + frame[depth & 63];
}

void lamp_init(void) {}

bool lamp_tick(void)
{
#ifndef MAIN_LOOP
  if (due) zero = step_fade(5);
#endif
  return true;
}

void lamp_receive_console(uint8_t byte)
{
  if (byte == 'd') due = true;
  if (byte == 's') zero = deep(0);
  if (byte == 'l') lamp_log((const char *)0x7fffffff);
}

#ifdef MAIN_LOOP
void lamp_main(void)
{
  for (;;) {
    if (due) zero = step_fade(5);
    lamp_wait_for_interrupt(true);
  }
}
#endif
