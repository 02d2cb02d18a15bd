#include "dali-state.h"
#include "lamp-port.h"

enum { OFF = 0, UP, DOWN, STEP_UP, STEP_DOWN, RECALL_MAX, RECALL_MIN, STEP_DOWN_AND_OFF, ON_AND_STEP_UP,
       ENABLE_SEQUENCE, LAST_ACTIVE, CONTINUOUS_UP, CONTINUOUS_DOWN, SCENE = 0x10 };

/* UP and DOWN run for this long; so long a DAPC sequence waits for its next level. */
#define RUN_MS 200u

/* log2 of one step of the logarithmic curve, 10^(3/253), with 24 bits after the point (computed). */
#define STEP 660862

/* Milliseconds of fade time code 1..15: 0.5 s * sqrt(2^n). */
static const uint32_t fade_time[16] = { 0, 707, 1000, 1414, 2000, 2828, 4000, 5657, 8000, 11314, 16000, 22627,
                                        32000, 45255, 64000, 90510 };
/* Thousandths of a level a second of fade rate code 1..15: 506 / sqrt(2^n). */
static const uint32_t fade_rate[16] = { 0, 357796, 253000, 178898, 126500, 89449, 63250, 44725, 31625, 22362,
                                        15813, 11181, 7906, 5591, 3953, 2795 };

uint32_t gear_actual(void)
{
  light_t level = light_level();
  if (gear.ordered >= 0 && !light_moving()) return (uint32_t)gear.ordered;
  if (level == 0) return 0;
  int32_t steps = 254 - (STEP / 2 - curve_log(level)) / STEP;
  return steps < 1 ? 1 : (uint32_t)steps;
}

uint32_t gear_fade_ms(void)
{
  static const uint32_t multiplier[8] = { 0, 100, 1000, 10000, 60000, 0, 0, 0 };
  uint32_t extended = gear.kept.extended_fade_time;
  if (gear.kept.fade_time > 0) return fade_time[gear.kept.fade_time];
  return ((extended & 15) + 1) * multiplier[extended >> 4 & 7];
}

static light_t light_of_level(uint32_t level)
{
  return level == 0 ? 0 : curve_light(((log_t)level - 254) * STEP);
}

light_t gear_floor(void) { return light_of_level(gear.kept.min); }

void dali_go(uint32_t level, uint32_t milliseconds)
{
  uint32_t wanted = level;
  target_t target = *light_target();
  if (level > 0 && wanted < gear.kept.min) wanted = gear.kept.min;
  if (level > 0 && wanted > gear.kept.max) wanted = gear.kept.max;
  gear.limit_error = wanted != level;
  gear.power_cycle = false;
  gear.ordered = (int32_t)wanted;
  if (wanted > 0) gear.last_active = wanted;
  colour_activate(&target);
  target.level = light_of_level(wanted);
  light_go_above(&target, ticks_of_ms(milliseconds), gear_floor());
}

void gear_arc_power(uint32_t level)
{
  uint32_t now = lamp_time_us();
  if (level == DALI_MASK) {
    light_hold();
    gear.ordered = -1;
    return;
  }
  gear.in_sequence = gear.in_sequence && (int32_t)(gear.sequence_until - now) >= 0;
  gear.sequence_until = now + RUN_MS * 1000;
  dali_go(level, gear.in_sequence ? RUN_MS : gear_fade_ms());
}

static uint32_t clamped(int32_t level)
{
  if (level < gear.kept.min) return gear.kept.min;
  return level > gear.kept.max ? gear.kept.max : (uint32_t)level;
}

/* Fades at the fade rate for at most so many levels. A dark lamp stays dark. */
static void run(int32_t direction, uint32_t levels)
{
  int32_t actual = (int32_t)gear_actual();
  if (actual == 0) return;
  int32_t end = (int32_t)clamped(actual + direction * (int32_t)levels);
  uint32_t distance = (uint32_t)(end > actual ? end - actual : actual - end);
  if (distance > 0) dali_go((uint32_t)end, distance * 1000000u / fade_rate[gear.kept.fade_rate]);
}

bool gear_level_command(uint32_t code)
{
  uint32_t actual = gear_actual();
  uint32_t brisk = (fade_rate[gear.kept.fade_rate] * RUN_MS / 1000 + 500) / 1000;
  /* Any other command for the light ends a DAPC sequence. */
  if (code < 0x20) gear.in_sequence = false;
  switch (code) {
    case OFF: dali_go(0, 0); return true;
    case UP: run(1, brisk); return true;
    case DOWN: run(-1, brisk); return true;
    case STEP_UP: if (actual > 0) dali_go(clamped((int32_t)actual + 1), 0); return true;
    case STEP_DOWN: if (actual > 0) dali_go(clamped((int32_t)actual - 1), 0); return true;
    case RECALL_MAX: dali_go(gear.kept.max, 0); return true;
    case RECALL_MIN: dali_go(gear.kept.min, 0); return true;
    case STEP_DOWN_AND_OFF: if (actual > 0) dali_go(actual <= gear.kept.min ? 0 : actual - 1, 0); return true;
    case ON_AND_STEP_UP: dali_go(actual == 0 ? gear.kept.min : clamped((int32_t)actual + 1), 0); return true;
    case ENABLE_SEQUENCE:
      gear.in_sequence = true;
      gear.sequence_until = lamp_time_us() + RUN_MS * 1000;
      return true;
    case LAST_ACTIVE: dali_go(gear.last_active, gear_fade_ms()); return true;
    case CONTINUOUS_UP: run(1, 254); return true;
    case CONTINUOUS_DOWN: run(-1, 254); return true;
  }
  if ((code & 0xf0) != SCENE) return false;
  uint32_t level = gear.kept.scenes[code & 15];
  if (level != DALI_MASK) dali_go(level, gear_fade_ms());
  return true;
}
