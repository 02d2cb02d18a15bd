#include "dali-state.h"
#include "lamp-port.h"

enum { RESET = 0x20, STORE_ACTUAL = 0x21, SET_MAX = 0x2a, SET_MIN, SET_SYSTEM_FAILURE, SET_POWER_ON, SET_FADE_TIME,
       SET_FADE_RATE, SET_EXTENDED_FADE, SET_SCENE = 0x40, REMOVE_SCENE = 0x50, ADD_GROUP = 0x60,
       REMOVE_GROUP = 0x70, SET_SHORT_ADDRESS = 0x80, ENABLE_WRITE_MEMORY };

#define COOLEST 154
#define WARMEST 367

static const registers_t factory = {
  .max = 254, .min = 1, .power_on_level = DALI_MASK, .system_failure_level = DALI_MASK, .fade_rate = 7,
  .groups = 1 << GROUP, .coolest = COOLEST, .warmest = WARMEST,
  .random_address = NO_RANDOM_ADDRESS,
  .scenes = { 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255 }
};

/* As new, but for the short address and what the maker wrote. RESET sets two levels and the groups otherwise. */
void gear_reset(void)
{
  registers_t before = gear.kept;
  gear.kept = factory;
  gear.kept.short_address = before.short_address;
  for (uint32_t index = 0; index < OEM_BYTES; index++) gear.kept.oem[index] = before.oem[index];
  gear.limit_error = false;
  gear.power_cycle = false;
  colour_forget();
}

static bool is_reset(void)
{
  registers_t *kept = &gear.kept;
  for (int scene = 0; scene < 16; scene++)
    if (kept->scenes[scene] != DALI_MASK) return false;
  return kept->max == factory.max && kept->min == factory.min && kept->power_on_level == 254 &&
         kept->system_failure_level == 254 && kept->fade_time == 0 &&
         kept->fade_rate == factory.fade_rate && kept->extended_fade_time == 0 && kept->groups == 0 &&
         kept->coolest == factory.coolest && kept->warmest == factory.warmest &&
         kept->random_address == factory.random_address;
}

static uint8_t between(uint32_t value, uint32_t lowest, uint32_t highest)
{
  if (value < lowest) return (uint8_t)lowest;
  return (uint8_t)(value > highest ? highest : value);
}

void gear_configure(uint32_t code)
{
  registers_t *kept = &gear.kept;
  uint8_t value = gear.dtr[0];
  uint32_t index = code & 15;
  switch (code) {
    case RESET:
      gear_reset();
      kept->power_on_level = kept->system_failure_level = 254;
      kept->groups = 0;
      dali_go(kept->max, 0);
      return;
    case ENABLE_WRITE_MEMORY: bank_enable_write(true); return;
    case STORE_ACTUAL: gear.dtr[0] = (uint8_t)gear_actual(); return;
    case SET_MAX:
      kept->max = between(value, kept->min, 254);
      if (gear_actual() > kept->max) dali_go(kept->max, 0);
      return;
    case SET_MIN:
      kept->min = between(value, 1, kept->max);
      if (gear_actual() > 0 && gear_actual() < kept->min) dali_go(kept->min, 0);
      return;
    case SET_SYSTEM_FAILURE: kept->system_failure_level = value; return;
    case SET_POWER_ON: kept->power_on_level = value; return;
    case SET_FADE_TIME: kept->fade_time = between(value, 0, 15); return;
    case SET_FADE_RATE: kept->fade_rate = between(value, 1, 15); return;
    case SET_EXTENDED_FADE: kept->extended_fade_time = value > 0x4f ? 0 : value; return;
    case SET_SHORT_ADDRESS:
      if (value == DALI_MASK) kept->short_address = DALI_MASK;
      else if ((value & 0x81) == 1) kept->short_address = value >> 1;
      return;
  }
  switch (code & 0xf0) {
    case SET_SCENE: kept->scenes[index] = value; return;
    case REMOVE_SCENE: kept->scenes[index] = DALI_MASK; return;
    case ADD_GROUP: kept->groups |= (uint16_t)(1u << index); return;
    case REMOVE_GROUP: kept->groups &= (uint16_t)~(1u << index); return;
  }
}

static int32_t yes_if(bool condition) { return condition ? 0xff : -1; }

static int32_t status(void)
{
  return (light_level() > 0 ? 0x04 : 0) | (gear.limit_error ? 0x08 : 0) | (light_fading() ? 0x10 : 0) |
         (is_reset() ? 0x20 : 0) | (gear.kept.short_address == DALI_MASK ? 0x40 : 0) |
         (gear.power_cycle ? 0x80 : 0);
}

int32_t gear_answer(uint32_t code)
{
  registers_t *kept = &gear.kept;
  switch (code) {
    case 0x90: return status();
    case 0x91: return 0xff;
    case 0x93: return yes_if(light_level() > 0);
    case 0x94: return yes_if(gear.limit_error);
    case 0x95: return yes_if(is_reset());
    case 0x96: return yes_if(kept->short_address == DALI_MASK);
    case 0x97: return 0x08;
    case 0x98: return gear.dtr[0];
    case 0x99: return 8;
    case 0x9a: return 1;
    case 0x9b: return yes_if(gear.power_cycle);
    case 0x9c: return gear.dtr[1];
    case 0x9d: return gear.dtr[2];
    case 0xa0: return (int32_t)gear_actual();
    case 0xa1: return kept->max;
    case 0xa2: return kept->min;
    case 0xa3: return kept->power_on_level;
    case 0xa4: return kept->system_failure_level;
    case 0xa5: return kept->fade_time << 4 | kept->fade_rate;
    case 0xa8: return kept->extended_fade_time;
    case 0xc0: return kept->groups & 0xff;
    case 0xc1: return kept->groups >> 8;
    case 0xc2: return (int32_t)(kept->random_address >> 16);
    case 0xc3: return kept->random_address >> 8 & 255;
    case 0xc4: return kept->random_address & 255;
    case 0xc5: return bank_read();
  }
  return (code & 0xf0) == 0xb0 ? kept->scenes[code & 15] : -1;
}
