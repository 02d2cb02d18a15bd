/* A firmware with a main loop of its own: interrupts set flags, the loop does the work. */
#include "lamp-port.h"

static volatile bool ticked;
static volatile int received = -1;
static uint32_t level;

bool lamp_tick(void)
{
  ticked = true;
  return false;
}

void lamp_receive_console(uint8_t byte) { received = byte; }

void lamp_main(void)
{
  lamp_set_pwm(0, 10, 1000, 32768);
  level = lamp_memory_read(3) == 255 ? 0 : lamp_memory_read(3);
  lamp_set_drive(0, level);
  for (;;) {
    if (received >= 0) {
      int byte = received;
      received = -1;
      if (byte == 'r') lamp_restart();
      if (byte == 't') __builtin_trap();
      if (byte == 'l') for (;;) ticked = true;
      if (byte == 'f') for (;;) lamp_set_busy(true);
      level = (uint32_t)byte;
      lamp_memory_write(3, level);
      lamp_set_drive(0, level);
      lamp_send_byte(LAMP_CONSOLE, 'k');
    }
    bool idle = !ticked;
    ticked = false;
    lamp_wait_for_interrupt(idle);
  }
}
