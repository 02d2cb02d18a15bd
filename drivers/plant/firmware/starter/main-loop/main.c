/* A small firmware to begin with, with a loop of its own: interrupts take note, the loop works. */
#include "console.h"
#include "lamp-port.h"
#include "light.h"
#include "memory.h"
#include "slots.h"

static uint32_t ticks;

static void keep(void) { memory_keep(light_target()); }

static bool control_tick(void)
{
  if (console_wants_restart()) lamp_restart();
  bool starting = ++ticks < START_UP_MS * 1000u / lamp_tick_us();
  if (slots_watch()) keep();
  return light_tick(starting) && !starting && !slots_watching();
}

/* What interrupts have taken note of, oldest first. A power of two, and more than comes while the loop is at work. */
#define QUEUE 256u
typedef enum { TICK, CONSOLE_BYTE, DMX_BREAK, DMX_BYTE, DMX_LOST } what_t;
typedef struct {
  what_t what;
  uint8_t byte;
} note_t;
static volatile note_t queue[QUEUE];
static volatile uint32_t noted, worked_off;

static void note(what_t what, uint8_t byte)
{
  if (noted - worked_off == QUEUE) return; /* the loop is too slow: what comes now is lost */
  queue[noted % QUEUE].what = what;
  queue[noted % QUEUE].byte = byte;
  noted++;
}

bool lamp_tick(void)
{
  note(TICK, 0);
  return false;
}
void lamp_receive_console(uint8_t byte) { note(CONSOLE_BYTE, byte); }
void lamp_receive_dmx_break(void) { note(DMX_BREAK, 0); }
void lamp_receive_dmx(uint8_t byte) { note(DMX_BYTE, byte); }
void lamp_dmx_lost(void) { note(DMX_LOST, 0); }

/* True when nothing will change until the next interrupt. */
static bool work_off(what_t what, uint8_t byte)
{
  switch (what) {
  case TICK:
    return control_tick();
  case CONSOLE_BYTE:
    if (console_take(byte)) keep();
    break;
  case DMX_BREAK:
    slots_break();
    break;
  case DMX_BYTE:
    if (slots_take(byte)) keep();
    break;
  case DMX_LOST:
    if (slots_lost()) keep();
    break;
  }
  return false;
}

void lamp_main(void)
{
  for (bool idle = false;;) {
    lamp_wait_for_interrupt(idle);
    lamp_set_busy(true);
    while (noted != worked_off) {
      note_t next = queue[worked_off % QUEUE];
      worked_off++;
      idle = work_off(next.what, next.byte);
    }
    lamp_set_busy(false);
  }
}
