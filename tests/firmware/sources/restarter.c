/* One firmware that restarts itself twice, and tells which life it is in. */
#include "lamp-port.h"

static uint32_t ticks;

void lamp_init(void)
{
  uint32_t life = lamp_memory_read(7) == 0xff ? 1 : lamp_memory_read(7) + 1;
  lamp_memory_write(7, life);
  lamp_log("begun: 25 \xc2\xb0" "C, \x1b[0m, a \\");
  lamp_set_analogue(0, 8);
  lamp_set_peak_current(0, 1000 * lamp_restart_cause());
  lamp_set_drive(0, 100 + life);
}

bool lamp_tick(void)
{
  ticks++;
  lamp_set_drive(1, ticks);
  if (ticks == 50 && lamp_memory_read(7) < 3) lamp_restart();
  return ticks > 50;
}
