/* A main loop that never waits, and interrupts that preempt it: what each byte of the console chooses shows something of that. */
#include "lamp-port.h"

static volatile uint8_t mode = 't';
/* Always the same, if nobody looks while they are written. */
static volatile uint32_t low, high;
static volatile uint64_t wide;
static volatile uint32_t ticks, bytes;
static volatile bool woken;

static void rounds(uint32_t left)
{
  while (left--) __asm__ volatile("");
}

bool lamp_tick(void)
{
  ticks++;
  low++;
  rounds(10);
  high++;
  wide += 0x100000001ull;
  woken = true;
  if (mode == 'o') rounds(3000);   /* more than fits between two ticks */
  lamp_probe("ticks", "", ticks);
  return false;
}

void lamp_receive_console(uint8_t byte)
{
  bytes++;
  lamp_probe("bytes", "", bytes);
  mode = byte;
  woken = true;
  if (byte == 'b') rounds(1000);   /* longer than the next byte takes */
}

static void look(bool guarded)
{
  static uint32_t torn, torn_wide, looks;
  /* Now longer, now shorter, so that ticks find it anywhere. */
  looks = looks * 1664525u + 1013904223u;
  rounds(1 + (looks >> 28));
  if (guarded) lamp_enable_interrupts(false);
  bool parted = low != high;
  uint64_t both = wide;
  if (guarded) lamp_enable_interrupts(true);
  if (parted) lamp_probe("torn", "", ++torn);
  if ((uint32_t)both != (uint32_t)(both >> 32)) lamp_probe("torn-wide", "", ++torn_wide);
}

/* Sleeps unless there is work. Without the guard an interrupt between the look and the sleep is slept through. */
static void doze(bool guarded)
{
  static uint32_t handled;
  if (guarded) lamp_enable_interrupts(false);
  bool work = woken;
  rounds(100);
  if (!work) lamp_wait_for_interrupt(false);
  if (guarded) lamp_enable_interrupts(true);
  if (!woken) return;
  woken = false;
  lamp_probe("handled", "", ++handled);
}

void lamp_main(void)
{
  lamp_set_pwm(0, 10, 1000, 0);
  for (;;) {
    if (mode == 't') look(false);
    if (mode == 'g') look(true);
    if (mode == 'p') {
      uint32_t before = lamp_time_us();
      lamp_set_busy(true);
      rounds(1000);
      lamp_set_busy(false);
      lamp_probe("took", "us", lamp_time_us() - before);
    }
    if (mode == 'm') {
      lamp_enable_interrupts(false);
      rounds(4000);
      lamp_enable_interrupts(true);
    }
    if (mode == 'w') {
      lamp_memory_write(0, 1);
      rounds(4000);
    }
    if (mode == 'd') doze(true);
    if (mode == 'n') doze(false);
    if (mode == 'r') lamp_restart();
    if (mode == 'x') __builtin_trap();
    if (mode == 'e') return;
  }
}
