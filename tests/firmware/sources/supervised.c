/* A firmware that watches over itself: tells why it started, how often it ticked, and kicks the watchdog as it is told. */
#include "lamp-port.h"

static bool kicks;
static uint32_t ticks;

void lamp_init(void)
{
  lamp_set_pwm(0, 10, 1000, 0);
  lamp_set_drive(0, 1024);
  lamp_probe("cause", "", lamp_restart_cause());
  lamp_probe("started", "us", lamp_time_us());
  lamp_probe("tick", "us", lamp_tick_us());
}

bool lamp_tick(void)
{
  lamp_probe("ticks", "", ++ticks);
  if (kicks) lamp_kick_watchdog();
  return true;
}

void lamp_receive_console(uint8_t byte)
{
  lamp_probe("heard", "", byte);
  if (byte == 'k') kicks = true;
  if (byte == 'h') kicks = false;
  if (byte == 'r') lamp_restart();
}
