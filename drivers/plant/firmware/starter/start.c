/* After power-up and every reset: sets the modulators up, and brings the light back. */
#include "lamp-port.h"
#include "light.h"
#include "memory.h"

void lamp_init(void)
{
  static const uint32_t peak[CHANNELS] = PEAK_MICROAMPS;
  for (uint32_t channel = 0; channel < CHANNELS; channel++) {
    SET_UP_MODULATOR(channel);
    lamp_set_drive(channel, 0);
    lamp_set_off_time(channel, OFF_TIME_NS);
    lamp_set_peak_current(channel, peak[channel]);
  }
  light_init();
  target_t last = *light_target();
  bool powered_up = lamp_time_us() < lamp_tick_us();
  if (!memory_restore(&last)) last.level = DELIVERED_LEVEL;
  if (powered_up && !POWER_ON_IS_LAST) last.level = POWER_ON_LEVEL;
  light_go(&last, 0);
}
