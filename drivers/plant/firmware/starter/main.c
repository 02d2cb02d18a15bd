/* A small firmware to begin with: inputs in, light out. */
#include "console.h"
#include "lamp-port.h"
#include "light.h"
#include "memory.h"
#include "slots.h"

static uint32_t ticks;

static void keep(void) { memory_keep(light_target()); }

bool lamp_tick(void)
{
  if (console_wants_restart()) lamp_restart();
  lamp_set_busy(true);
  bool starting = ++ticks < START_UP_MS * 1000u / lamp_tick_us();
  if (slots_watch()) keep();
  bool still = light_tick(starting);
  lamp_set_busy(false);
  return still && !starting && !slots_watching();
}

void lamp_receive_console(uint8_t byte) { if (console_take(byte)) keep(); }
void lamp_receive_dmx_break(void) { slots_break(); }
void lamp_receive_dmx(uint8_t byte) { if (slots_take(byte)) keep(); }
void lamp_dmx_lost(void) { if (slots_lost()) keep(); }
