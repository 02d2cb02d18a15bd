/* A small firmware to begin with: inputs in, light out. */
#include "console.h"
#include "lamp-port.h"
#include "light.h"
#include "memory.h"
#include "slots.h"

static uint32_t ticks;

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
