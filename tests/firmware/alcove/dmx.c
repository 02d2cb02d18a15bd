#include "dmx.h"
#include "lamp-port.h"
#include "light.h"

#define SLOTS (2 * (1 + CHANNELS))
#define LOSS_US 1250000u
/* Frames closer than this are one stream; the lamp glides from one to the next. */
#define STREAM_GAP_US 100000u
#define LONGEST_GLIDE_US 50000u
/* log2(1000) with 24 bits after the point: the depth of the level's curve. */
#define DEPTH 167198116ll

enum { NOT_OURS = -2, START_CODE = -1 };

static int next = NOT_OURS;
static uint8_t slots[SLOTS];
static uint8_t acted[SLOTS];
static bool have_acted;
static bool have_signal;
static uint32_t last_frame;

void dmx_break(void) { next = START_CODE; }

static uint32_t pair(int parameter) { return (uint32_t)slots[2 * parameter] << 8 | slots[2 * parameter + 1]; }

/* 0 is off, 1 the bottom, 65535 full, even in the logarithm between. */
static light_t level_of(uint32_t value)
{
  if (value == 0) return 0;
  return curve_light((log_t)(((int64_t)value - 65535) * DEPTH / 65534));
}

static bool same_as_before(void)
{
  for (int slot = 0; slot < SLOTS; slot++)
    if (slots[slot] != acted[slot]) return false;
  return have_acted;
}

static bool complete(void)
{
  uint32_t now = lamp_time_us();
  uint32_t gap = now - last_frame;
  bool stream = have_signal && gap <= STREAM_GAP_US;
  uint32_t glide = gap < LONGEST_GLIDE_US ? gap : LONGEST_GLIDE_US;
  target_t target;
  have_signal = true;
  last_frame = now;
  if (same_as_before()) return false;
  for (int slot = 0; slot < SLOTS; slot++) acted[slot] = slots[slot];
  have_acted = true;
  target.level = level_of(pair(0));
  for (int channel = 0; channel < CHANNELS; channel++)
    target.intensity[channel] = (light_t)(((uint64_t)pair(1 + channel) * ONE + 32767) / 65535);
  light_glide(&target, stream ? glide / lamp_tick_us() : 0);
  return true;
}

bool dmx_take(uint8_t byte)
{
  if (next == NOT_OURS) return false;
  if (next == START_CODE) {
    next = byte == 0 ? 0 : NOT_OURS;
    return false;
  }
  int index = next++ - (FIRST_SLOT - 1);
  if (index < 0) return false;
  slots[index] = byte;
  if (index < SLOTS - 1) return false;
  next = NOT_OURS;
  return complete();
}

void dmx_watch(void)
{
  if (have_signal && lamp_time_us() - last_frame > LOSS_US) dmx_lost();
}

/* This lamp holds its light; the next frame acts again, whatever it says. */
void dmx_lost(void)
{
  have_signal = false;
  have_acted = false;
  next = NOT_OURS;
}

bool dmx_watching(void) { return have_signal; }
