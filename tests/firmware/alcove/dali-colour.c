#include "dali-state.h"

enum { ACTIVATE = 0xe2, SET_TEMPERATURE = 0xe7, STEP_COOLER, STEP_WARMER, SET_PRIMARY, SET_RGB, SET_WAF, STORE_LIMIT = 0xf2,
       QUERY_FEATURES = 0xf7, QUERY_STATUS, QUERY_TYPE_FEATURES, QUERY_VALUE };
enum { NO_COLOUR, TEMPERATURE, PRIMARIES, COLOURS };

#define NO_CHANGE 65535u
#define HIGHEST_PRIMARY 65534u
#define HIGHEST_COLOUR 254u
#define OF_COLOURS 4
#define COOLEST 154
#define WARMEST 367

/*
 * Part of the warm channel in warm + cool, in 1/32768, for 17 colour temperatures evenly apart in mirek from the
 * coolest to the warmest. Computed from the channels' light and chromaticity (McCamy 1992).
 */
static const uint16_t warm_part[17] = { 202, 3041, 5688, 8172, 10518, 12745, 14870, 16905, 18863, 20753, 22585, 24366,
                                        26104, 27804, 29473, 31117, 32739 };

/* Channels that are red, green, blue and white. */
static const uint8_t colour_channel[OF_COLOURS] = { 2, 3, 5, 1 };

static int active = NO_COLOUR;
static uint32_t mirek = WARMEST;
static bool out_of_range;
/* What waits for its activation. */
static bool have_mirek;
static uint32_t waiting_mirek;
static uint8_t have_primary;
/* The waiting primaries came as red, green, blue and white. */
static bool as_colours;
static light_t waiting_primary[CHANNELS];

static void white(target_t *target)
{
  uint32_t held = waiting_mirek;
  if (held < gear.kept.coolest) held = gear.kept.coolest;
  if (held > gear.kept.warmest) held = gear.kept.warmest;
  out_of_range = held != waiting_mirek;
  mirek = held;
  active = TEMPERATURE;
  uint32_t position = (held - COOLEST) * (16u << 8) / (WARMEST - COOLEST);
  uint32_t index = position >> 8 < 16 ? position >> 8 : 15;
  uint32_t rest = position - (index << 8);
  uint32_t warm = warm_part[index] + (((uint32_t)(warm_part[index + 1] - warm_part[index]) * rest) >> 8);
  uint32_t cool = 32768 - warm;
  uint32_t most = warm > cool ? warm : cool;
  for (int channel = 0; channel < CHANNELS; channel++) target->intensity[channel] = 0;
  target->intensity[0] = (light_t)((uint64_t)warm * ONE / most);
  target->intensity[1] = (light_t)((uint64_t)cool * ONE / most);
}

void colour_activate(target_t *target)
{
  if (have_mirek) white(target);
  else if (have_primary) {
    for (int channel = 0; channel < CHANNELS; channel++)
      if (have_primary >> channel & 1) target->intensity[channel] = waiting_primary[channel];
    active = as_colours ? COLOURS : PRIMARIES;
  }
  colour_forget();
}

void colour_forget(void)
{
  have_mirek = false;
  have_primary = 0;
}

static void start(uint32_t milliseconds)
{
  if (!have_mirek && !have_primary) return;
  target_t target = *light_target();
  colour_activate(&target);
  light_go_above(&target, ticks_of_ms(milliseconds), gear_floor());
}

static void wait_for(uint32_t value)
{
  have_mirek = true;
  have_primary = 0;
  waiting_mirek = value;
}

static void set_primary(uint32_t value)
{
  uint32_t primary = gear.dtr[2];
  if (primary >= CHANNELS || value == NO_CHANGE) return;
  have_mirek = false;
  if (as_colours) have_primary = 0;
  as_colours = false;
  have_primary |= (uint8_t)(1u << primary);
  waiting_primary[primary] = (light_t)(((uint64_t)value * ONE + HIGHEST_PRIMARY / 2) / HIGHEST_PRIMARY);
}

/* Levels of three colours from the first one on, in the three registers. */
static void set_colours(int first)
{
  have_mirek = false;
  if (!as_colours) have_primary = 0;
  as_colours = true;
  for (int index = 0; index < 3 && first + index < OF_COLOURS; index++) {
    uint32_t level = gear.dtr[index], channel = colour_channel[first + index];
    if (level > HIGHEST_COLOUR) continue;
    have_primary |= (uint8_t)(1u << channel);
    waiting_primary[channel] = (light_t)(((uint64_t)level * ONE + HIGHEST_COLOUR / 2) / HIGHEST_COLOUR);
  }
}

static void store_limit(uint32_t value)
{
  registers_t *kept = &gear.kept;
  if (value < COOLEST) value = COOLEST;
  if (value > WARMEST) value = WARMEST;
  if (gear.dtr[2] == 0) kept->coolest = (uint16_t)(value < kept->warmest ? value : kept->warmest);
  if (gear.dtr[2] == 1) kept->warmest = (uint16_t)(value > kept->coolest ? value : kept->coolest);
}

static uint32_t value_of(uint32_t selector)
{
  if (selector >= 3 && selector <= 8)
    return (uint32_t)(((uint64_t)light_target()->intensity[selector - 3] * HIGHEST_PRIMARY + ONE / 2) / ONE);
  switch (selector) {
    case 2: return active == TEMPERATURE ? mirek : NO_CHANGE;
    case 128: return gear.kept.coolest;
    case 129: return COOLEST;
    case 130: return gear.kept.warmest;
    case 131: return WARMEST;
    default: return NO_CHANGE;
  }
}

int32_t colour_command(uint32_t code)
{
  uint32_t value = (uint32_t)gear.dtr[1] << 8 | gear.dtr[0];
  switch (code) {
    case ACTIVATE: start(gear_fade_ms()); return -1;
    case SET_TEMPERATURE: if (value != NO_CHANGE) wait_for(value); return -1;
    case STEP_COOLER:
    case STEP_WARMER:
      if (active != TEMPERATURE) return -1;
      wait_for(code == STEP_WARMER ? mirek + 1 : mirek - 1);
      /* At once, whatever the fade time (IEC 62386-209 11.3.4, from memory). */
      start(0);
      return -1;
    case SET_PRIMARY: set_primary(value); return -1;
    case SET_RGB: set_colours(0); return -1;
    case SET_WAF: set_colours(3); return -1;
    case STORE_LIMIT: store_limit(value); return -1;
    case QUERY_FEATURES: return 0x01;
    case QUERY_STATUS:
      return (out_of_range ? 0x02 : 0) | (active == TEMPERATURE ? 0x20 : 0) | (active == PRIMARIES ? 0x40 : 0) |
             (active == COLOURS ? 0x80 : 0);
    case QUERY_TYPE_FEATURES: return 0x02 | CHANNELS << 2 | OF_COLOURS << 5;
    case QUERY_VALUE:
      value = value_of(gear.dtr[0]);
      gear.dtr[0] = (uint8_t)value;
      gear.dtr[1] = (uint8_t)(value >> 8);
      return (int32_t)(value >> 8);
    default: return -1;
  }
}
