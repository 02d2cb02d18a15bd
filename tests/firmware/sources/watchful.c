/* Always idle, and awake at once when its lamp's supply, power or temperature asks for it. Two channels, 8 bit. */
#include "lamp-port.h"

#define LOW_MILLIVOLTS 46000u
#define WARM_MILLICELSIUS 27000

void lamp_init(void)
{
  for (uint32_t channel = 0; channel < 2; channel++) {
    lamp_set_pulse_density(channel, 8, 100000);
    lamp_set_peak_current(channel, 500000);
  }
}

bool lamp_tick(void)
{
  lamp_set_drive(0, lamp_supply_millivolts() < LOW_MILLIVOLTS ? 64 : 256);
  lamp_set_drive(1, lamp_temperature_millicelsius() > WARM_MILLICELSIUS ? 64 : 256);
  return true;
}
