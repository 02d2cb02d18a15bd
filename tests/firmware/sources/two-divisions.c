/* One firmware with several divisions in a function, of which the console says which one traps. */
#include "lamp-port.h"

static volatile uint32_t one = 1;
static volatile uint32_t divisor = 1;
static volatile bool in_main;

static __attribute__((noinline)) uint32_t both(uint32_t value)
{
  uint32_t first = value / one;
  return first + value / divisor;
}

void lamp_init(void) {}

bool lamp_tick(void) { return true; }

void lamp_receive_console(uint8_t byte)
{
  in_main = byte == 'm';
  divisor = 0;
}

void lamp_main(void)
{
  for (;;) {
    if (in_main) {
      one = 6 / one;
      one = 6 / divisor;
    } else one = both(6);
    lamp_wait_for_interrupt(true);
  }
}
