/* The firmware of Alcove-6: inputs in, light out. Start here when you write your own. */
#include "console.h"
#include "dali.h"
#include "dmx.h"
#include "lamp-port.h"
#include "light.h"
#include "memory.h"
#ifdef SACN
#include "sacn.h"
#include "sacn-packet.h"
#endif

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

/* After a command: there is something to do until the next tick has ended. */
static void worked(void)
{
  lamp_set_busy(true);
  if (light_orders() > restored) power_on_pending = false;
  memory_keep();
}

/* Slots have moved the light. */
static void slots_worked(void)
{
  dali_overruled();
  worked();
}

#ifdef SACN
typedef struct {
  uint32_t length;
  uint8_t head[SACN_HEAD];
} datagram_t;

static void keep_datagram(datagram_t *datagram, uint32_t length)
{
  datagram->length = length;
  for (uint32_t index = 0; index < SACN_HEAD; index++) datagram->head[index] = (uint8_t)lamp_datagram_byte(index);
}

static void take_datagram(const datagram_t *datagram)
{
  if (sacn_take(datagram->head, datagram->length)) slots_worked();
}

/* True while it has to look again at the next tick. */
static bool network_tick(void)
{
  if (sacn_watch()) slots_worked();
  return sacn_watching();
}
#else
static bool network_tick(void) { return false; }
#endif

static bool control_tick(void)
{
  if (console_wants_restart()) lamp_restart();
  lamp_set_busy(true);
  ticks++;
  bool starting = ticks < ticks_of_ms(START_UP_MS);
  dmx_watch();
  bool listening = network_tick();
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
  return still && !starting && !power_on_pending && !bus_down && !listening && !dmx_watching();
}

static void console_byte(uint8_t byte) { if (console_take(byte)) worked(); }

static void dali_frame(uint32_t frame, uint32_t bits) { if (bits == 16 && dali_take(frame)) worked(); }

static void dali_bus(bool powered)
{
  bus_down = !powered;
  ticks_down = 0;
}

static void dmx_byte(uint8_t byte) { if (dmx_take(byte)) slots_worked(); }

#ifdef MAIN_LOOP
/* Driven by a loop of its own: interrupts take note, the loop works. What they share is the queue, in which each side moves its own end. */
#define QUEUE 256u   /* a power of two, and more than comes while the loop is at work */
typedef enum { TICK, CONSOLE_BYTE, DALI_FRAME, DALI_BUS, DMX_BREAK, DMX_BYTE, DMX_LOST, DATAGRAM } what_t;
typedef struct {
  what_t what;
  uint32_t data, bits;
} note_t;
static volatile note_t queue[QUEUE];
static volatile uint32_t noted, worked_off;

/* False: the loop is too slow, and what comes now is lost. */
static bool note(what_t what, uint32_t data, uint32_t bits)
{
  if (noted - worked_off == QUEUE) return false;
  volatile note_t *own = &queue[noted % QUEUE];
  own->what = what;
  own->data = data;
  own->bits = bits;
  noted++;
  return true;
}

bool lamp_tick(void)
{
  note(TICK, 0, 0);
  return false;
}
void lamp_receive_console(uint8_t byte) { note(CONSOLE_BYTE, byte, 0); }
void lamp_receive_dali(uint32_t frame, uint32_t bits) { note(DALI_FRAME, frame, bits); }
void lamp_dali_bus(bool powered) { note(DALI_BUS, powered, 0); }
void lamp_receive_dmx_break(void) { note(DMX_BREAK, 0, 0); }
void lamp_receive_dmx(uint8_t byte) { note(DMX_BYTE, byte, 0); }
void lamp_dmx_lost(void) { note(DMX_LOST, 0, 0); }
#ifdef SACN
#define DATAGRAMS 8u
static datagram_t datagrams[DATAGRAMS];
static volatile uint32_t came, went;

void lamp_receive_datagram(uint32_t length)
{
  if (came - went == DATAGRAMS) return;
  keep_datagram(&datagrams[came % DATAGRAMS], length);
  if (note(DATAGRAM, 0, 0)) came++;
}

static void work_off_datagram(void)
{
  take_datagram(&datagrams[went % DATAGRAMS]);
  went++;
}
#else
static void work_off_datagram(void) {}
#endif

/* True when nothing will change until the next interrupt. */
static bool work_off(note_t next)
{
  switch (next.what) {
  case TICK: return control_tick();
  case CONSOLE_BYTE: console_byte((uint8_t)next.data); break;
  case DALI_FRAME: dali_frame(next.data, next.bits); break;
  case DALI_BUS: dali_bus(next.data); break;
  case DMX_BREAK: dmx_break(); break;
  case DMX_BYTE: dmx_byte((uint8_t)next.data); break;
  case DMX_LOST: dmx_lost(); break;
  case DATAGRAM: work_off_datagram(); break;
  }
  return false;
}

void lamp_main(void)
{
  for (bool idle = false;;) {
    lamp_wait_for_interrupt(idle);
    while (noted != worked_off) {
      note_t next = queue[worked_off % QUEUE];
      worked_off++;
      idle = work_off(next);
    }
  }
}
#else
bool lamp_tick(void) { return control_tick(); }
void lamp_receive_console(uint8_t byte) { console_byte(byte); }
void lamp_receive_dali(uint32_t frame, uint32_t bits) { dali_frame(frame, bits); }
void lamp_dali_bus(bool powered) { dali_bus(powered); }
void lamp_receive_dmx_break(void) { dmx_break(); }
void lamp_receive_dmx(uint8_t byte) { dmx_byte(byte); }
void lamp_dmx_lost(void) { dmx_lost(); }
#ifdef SACN
void lamp_receive_datagram(uint32_t length)
{
  datagram_t datagram;
  keep_datagram(&datagram, length);
  take_datagram(&datagram);
}
#endif
#endif
