#include "slots.h"
#include "lamp-port.h"
#include "light.h"

#define SLOTS (SLOT_BYTES * (1 + CHANNELS))
#define HIGHEST_VALUE (SLOT_BYTES == 1 ? 255.0 : 65535.0)
/* A line is lost when it has been silent for so long. */
#define LOSS_US 1250000u
/* Frames closer than this are one stream; the light glides from one to the next. */
#define STREAM_GAP_US 100000u
#define LONGEST_GLIDE_US 50000u

enum { NOT_OURS = -2, START_CODE = -1 };

static int next = NOT_OURS;
static uint8_t slots[SLOTS], acted[SLOTS];
static bool have_acted, have_signal;
static uint32_t last_frame;

void slots_break(void) { next = START_CODE; }

static uint32_t value_at(uint32_t index)
{
  return SLOT_BYTES == 1 ? slots[index] : (uint32_t)slots[2 * index] << 8 | slots[2 * index + 1];
}

/* The highest value is full. On a logarithmic curve 0 is off and 1 the bottom. */
static double level_of(uint32_t value)
{
  if (!CURVE_IS_LOGARITHMIC) return value / HIGHEST_VALUE;
  return value == 0 ? 0 : curve_at((value - 1.0) / (HIGHEST_VALUE - 1.0));
}

static bool complete(void)
{
  uint32_t now = lamp_time_us(), gap = now - last_frame;
  bool stream = have_signal && gap <= STREAM_GAP_US;
  bool same = have_acted;
  target_t wanted;
  have_signal = true;
  last_frame = now;
  for (uint32_t slot = 0; slot < SLOTS; slot++) same = same && slots[slot] == acted[slot];
  if (same) return false;
  for (uint32_t slot = 0; slot < SLOTS; slot++) acted[slot] = slots[slot];
  have_acted = true;
  wanted.level = level_of(value_at(0));
  for (uint32_t channel = 0; channel < CHANNELS; channel++)
    wanted.intensity[channel] = value_at(1 + channel) / HIGHEST_VALUE;
  light_glide(&wanted, stream ? (gap < LONGEST_GLIDE_US ? gap : LONGEST_GLIDE_US) : 0);
  return true;
}

bool slots_take(uint8_t byte)
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

bool slots_lost(void)
{
  have_signal = false;
  have_acted = false;
  next = NOT_OURS;
  if (!LOSS_DARKENS) return false;
  target_t dark = *light_target();
  dark.level = 0;
  light_go(&dark, 0);
  return true;
}

bool slots_watch(void)
{
  return have_signal && lamp_time_us() - last_frame > LOSS_US && slots_lost();
}

bool slots_watching(void) { return have_signal; }
