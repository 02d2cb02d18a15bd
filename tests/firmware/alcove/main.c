/* The firmware of Alcove-6: inputs in, light out. Start here when you write your own. */
#include "console.h"
#include "dali.h"
#include "dmx.h"
#include "lamp-port.h"
#include "light.h"
#include "memory.h"

/* A command within this time after power-up keeps the power-on level away. */
#define POWER_ON_WAIT_MS 600u

/* A bus without power for so long has failed. */
#define BUS_FAILURE_MS 500u

static uint32_t ticks;
static bool power_on_pending;
static uint32_t restored;
static bool bus_down;
static uint32_t ticks_down;

void lamp_init(void)
{
  static const uint32_t peak[CHANNELS] = PEAK_MICROAMPS;
  for (uint32_t channel = 0; channel < CHANNELS; channel++) {
    lamp_set_pulse_density(channel, MODULATOR_BITS, MODULATOR_CLOCK_HZ);
    lamp_set_drive(channel, 0);
    lamp_set_off_time(channel, OFF_TIME_NS);
    lamp_set_peak_current(channel, peak[channel]);
  }
  light_init();
  dali_init();
  if (memory_restore()) power_on_pending = dali_registers()->power_on_level != DALI_MASK;
  restored = light_orders();
}

static bool control_tick(void)
{
  if (console_wants_restart()) lamp_restart();
  lamp_set_busy(true);
  ticks++;
  bool starting = ticks < ticks_of_ms(START_UP_MS);
  dmx_watch();
  if (bus_down && ++ticks_down >= ticks_of_ms(BUS_FAILURE_MS)) {
    bus_down = false;
    dali_bus_failed();
  }
  if (power_on_pending && ticks >= ticks_of_ms(POWER_ON_WAIT_MS)) {
    dali_power_on();
    power_on_pending = false;
  }
  bool still = light_tick(starting);
  lamp_set_busy(false);
  return still && !starting && !power_on_pending && !bus_down && !dmx_watching();
}

#ifdef MAIN_LOOP
/* Driven by a loop of its own: the timer's interrupt takes note, the loop works. */
static bool tick_is_due;

bool lamp_tick(void)
{
  tick_is_due = true;
  return false;
}

void lamp_main(void)
{
  for (bool idle = false;; idle = tick_is_due && control_tick()) {
    tick_is_due = false;
    lamp_wait_for_interrupt(idle);
  }
}
#else
bool lamp_tick(void) { return control_tick(); }
#endif

/* After a command: there is something to do until the next tick has ended. */
static void worked(void)
{
  lamp_set_busy(true);
  if (light_orders() > restored) power_on_pending = false;
  memory_keep();
}

void lamp_receive_console(uint8_t byte) { if (console_take(byte)) worked(); }

void lamp_receive_dali(uint32_t frame, uint32_t bits) { if (bits == 16 && dali_take(frame)) worked(); }
void lamp_dali_bus(bool powered)
{
  bus_down = !powered;
  ticks_down = 0;
}

void lamp_receive_dmx_break(void) { dmx_break(); }
void lamp_receive_dmx(uint8_t byte)
{
  if (!dmx_take(byte)) return;
  dali_overruled();
  worked();
}
void lamp_dmx_lost(void) { dmx_lost(); }
