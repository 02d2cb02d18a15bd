/* Keeps eight bytes: at once when it hears a digit, or when the supply fails where that was asked for. */
#include "lamp-port.h"

#define COUNT 8u

static bool late;
static uint8_t value;

static void keep(void)
{
  for (uint32_t address = 0; address < COUNT; address++) lamp_memory_write(address, value);
}

void lamp_init(void)
{
  uint32_t same = 0;
  for (uint32_t address = 0; address < COUNT; address++)
    if (lamp_memory_read(address) == lamp_memory_read(0)) same++;
  lamp_probe("first", "", lamp_memory_read(0));
  lamp_probe("fourth", "", lamp_memory_read(3));
  lamp_probe("last", "", lamp_memory_read(COUNT - 1));
  lamp_probe("same", "", same);
  lamp_set_pwm(0, 10, 1000, 0);
  lamp_set_drive(0, 1024);
}

bool lamp_tick(void)
{
  lamp_probe("busy", "", lamp_memory_busy());
  return false;
}

void lamp_receive_console(uint8_t byte)
{
  if (byte == 'r') lamp_restart();
  if (byte == 'l') {
    late = true;
    return;
  }
  value = byte;
  if (!late) keep();
}

void lamp_power_fail(void)
{
  lamp_probe("failed", "V", lamp_supply_millivolts() / 1000.0);
  if (late) keep();
}
