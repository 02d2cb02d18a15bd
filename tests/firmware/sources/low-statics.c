/* Fills static variables and looks at them in the main loop and in its interrupt; complains over the console. */
#include "lamp-port.h"

#define COUNT 6000
static volatile uint32_t kept[COUNT];
static uint32_t ticks;

static void look(void)
{
  for (uint32_t at = 0; at < COUNT; at++)
    if (kept[at] != (at ^ ticks)) lamp_send_byte(LAMP_CONSOLE, '!');
}

static void fill(void) { for (uint32_t at = 0; at < COUNT; at++) kept[at] = at ^ ticks; }

bool lamp_tick(void)
{
  look();
  ticks++;
  fill();
  return false;
}

void lamp_main(void)
{
  lamp_set_analogue(0, 8);
  fill();
  for (;;) {
    look();
    lamp_set_drive(0, ticks);
    lamp_wait_for_interrupt(false);
  }
}
