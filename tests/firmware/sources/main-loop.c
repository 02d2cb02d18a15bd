/* A firmware with a main loop of its own: interrupts set flags, the loop does the work. */
#include "lamp-port.h"

static volatile bool ticked;
static volatile bool tick_waits;
static volatile int received = -1;
static uint32_t level;

bool lamp_tick(void)
{
  ticked = true;
  if (tick_waits) lamp_wait_for_interrupt(true);
  return false;
}

void lamp_receive_console(uint8_t byte)
{
  received = byte;
  if (byte == 'R') lamp_restart();
}

/* Waits at the bottom of calls through pointers, and adds up what each of them kept meanwhile. */
typedef uint32_t step(uint32_t depth);
static step wait_below, wait_here;
static step *volatile steps[] = { wait_here, wait_below };

static uint32_t wait_here(uint32_t depth)
{
  lamp_wait_for_interrupt(true);
  return depth;
}

static uint32_t wait_below(uint32_t depth)
{
  return steps[depth > 1](depth - 1) + depth * depth;
}

void lamp_main(void)
{
  lamp_set_pwm(0, 10, 1000, 32768);
  level = lamp_memory_read(3) == 255 ? 0 : lamp_memory_read(3);
  lamp_set_drive(0, level);
  if (level == '!') lamp_restart();
  for (;;) {
    if (received >= 0) {
      int byte = received;
      received = -1;
      if (byte == 'r') lamp_restart();
      if (byte == 't') __builtin_trap();
      if (byte == 'l') for (;;) ticked = true;
      if (byte == 'f') for (;;) lamp_set_busy(true);
      if (byte == 'x') return;
      if (byte == 'w') tick_waits = true;
      if (byte == 'g') __builtin_wasm_memory_grow(0, 2);
      if (byte == 'm') __builtin_wasm_memory_grow(0, 300);
      level = (uint32_t)byte;
      if (byte == 's') level = wait_below(10);
      if (byte == 'S') level = wait_below(5000);
      lamp_memory_write(3, level);
      lamp_set_drive(0, level);
      lamp_send_byte(LAMP_CONSOLE, 'k');
    }
    bool idle = !ticked;
    ticked = false;
    lamp_wait_for_interrupt(idle);
  }
}
