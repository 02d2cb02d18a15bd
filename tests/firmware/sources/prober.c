/* One firmware with variables that specs can ask for: `count` counts its ticks while it is lit, and letters on its console do the rest. */
#include "lamp-port.h"

static uint32_t count;
static bool counts;

static void answer(const char *text)
{
  while (*text) lamp_send_byte(LAMP_CONSOLE, (uint8_t)*text++);
}

void lamp_init(void)
{
  lamp_set_analogue(0, 8);
  lamp_probe("count", "ticks", 0);
  lamp_probe("half", "%", 50);
}

bool lamp_tick(void)
{
  if (counts) lamp_probe("count", "ticks", ++count);
  return !counts;
}

static void many(void)
{
  char name[] = "many-0";
  for (uint32_t place = 0; place < 20; place++) {
    name[5] = 'a' + place;
    lamp_probe(name, "", place);
  }
}

void lamp_receive_console(uint8_t byte)
{
  switch (byte) {
    case '\n': answer("ok\n"); break;
    case 'g': counts = true; break;
    case 's': counts = false; break;
    case 'b': lamp_probe("Bad Name", "", 1); break;
    case 'u': lamp_probe("half", "V", 1); break;
    case 'n': lamp_probe("half", "%", 0.0 / 0.0); break;
    case 'm': many(); break;
    case 'i': lamp_probe("half", "%", 10); lamp_probe("half", "%", 20); break;
  }
}
