#include "dali.h"
#include "dali-state.h"
#include "lamp-port.h"

enum { DTR0 = 0xa3, INITIALISE = 0xa5, RANDOMISE = 0xa7, ENABLE_DEVICE_TYPE = 0xc1, DTR1 = 0xc3, DTR2 = 0xc5,
       WRITE_MEMORY = 0xc7, WRITE_MEMORY_SILENTLY = 0xc9 };
#define SEND_TWICE_US 100000u

gear_t gear;

static bool colour_enabled;
/* A configuration command that has come once, and when. */
static uint32_t once;
static bool have_once;
static uint32_t once_at;

void dali_init(void)
{
  gear.kept.short_address = SHORT_ADDRESS;
  for (uint32_t index = 0; index < OEM_BYTES; index++) gear.kept.oem[index] = 0xff;
  commissioning_init();
  bank_init();
  gear_reset();
  gear.power_cycle = true;
  gear.ordered = -1;
  gear.last_active = gear.kept.max;
}

registers_t *dali_registers(void) { return &gear.kept; }
void dali_overruled(void) { gear.ordered = -1; }

void dali_power_on(void)
{
  bool unseen = gear.power_cycle;
  dali_go(gear.kept.power_on_level, 0);
  gear.power_cycle = unseen;
}

void dali_bus_failed(void)
{
  if (gear.kept.system_failure_level != DALI_MASK) dali_go(gear.kept.system_failure_level, 0);
}

static void answer(int32_t byte)
{
  if (byte >= 0) lamp_send_byte(LAMP_DALI, (uint32_t)byte);
}

/* Any other command ends the permission to write into the memory banks. */
static bool goes_with_writing(uint32_t first, uint32_t code)
{
  if (first >= 0xa0 && first < 0xfc)
    return first == DTR0 || first == DTR1 || first == DTR2 || first == WRITE_MEMORY || first == WRITE_MEMORY_SILENTLY;
  return (first & 1) == 1 && (code == 0x81 || code == 0x98 || code == 0x9c || code == 0x9d);
}

static void special(uint32_t first, uint8_t second)
{
  switch (first) {
    case DTR0: gear.dtr[0] = second; return;
    case DTR1: gear.dtr[1] = second; return;
    case DTR2: gear.dtr[2] = second; return;
    case ENABLE_DEVICE_TYPE: colour_enabled = second == 8; return;
    case WRITE_MEMORY: answer(bank_write(second)); return;
    case WRITE_MEMORY_SILENTLY: bank_write(second); return;
    default: answer(commissioning_take(first, second));
  }
}

/* 0AAAAAAS short address, 100AAAAS group, 1111111S broadcast, 1111110S unaddressed. */
static bool is_ours(uint32_t first)
{
  uint8_t address = gear.kept.short_address;
  if (first < 0x80) return first >> 1 == address;
  if (first < 0xa0) return gear.kept.groups >> ((first >> 1) & 15) & 1;
  return first >= 0xfe || (first >= 0xfc && address == DALI_MASK);
}

static bool needs_twice(uint32_t code, bool colour)
{
  return (code >= 0x20 && code <= 0x81) || (colour && (code == 0xf2 || code == 0xf3));
}

static void act(uint32_t code, bool colour)
{
  if (code >= 0xe0) {
    if (colour) answer(colour_command(code));
  } else if (needs_twice(code, false)) gear_configure(code);
  else if (!gear_level_command(code)) answer(gear_answer(code));
}

static void remember_once(uint32_t frame, bool colour)
{
  once = frame;
  once_at = lamp_time_us();
  have_once = true;
  colour_enabled = colour;
}

bool dali_take(uint32_t frame)
{
  uint32_t first = frame >> 8 & 255;
  uint32_t code = frame & 255;
  bool colour = colour_enabled;
  bool again = have_once && once == frame && lamp_time_us() - once_at <= SEND_TWICE_US;
  bool addressed = first < 0xa0 || first >= 0xfc;
  colour_enabled = false;
  have_once = false;
  if (addressed && !is_ours(first)) return false;
  if ((first == INITIALISE || first == RANDOMISE) && !again) {
    remember_once(frame, false);
    return true;
  }
  if (!goes_with_writing(first, code)) bank_enable_write(false);
  if (!addressed) special(first, (uint8_t)code);
  else if ((first & 1) == 0) gear_arc_power(code);
  else if (needs_twice(code, colour) && !again) remember_once(frame, colour);
  else act(code, colour);
  return true;
}
