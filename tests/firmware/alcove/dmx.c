#include "dmx.h"
#include "lamp-port.h"
#include "light.h"

#define LOSS_US 1250000u
/* Frames closer than this are one stream; the lamp glides from one to the next. */
#define STREAM_GAP_US 100000u
#define LONGEST_GLIDE_US 50000u
/* log2(1000) with 24 bits after the point: the depth of the level's curve. */
#define DEPTH 167198116ll

enum { NOT_OURS = -2, START_CODE = -1 };

/* What came by one way: what repeats itself on one of them is no news, whatever came by the other. */
typedef struct {
  uint8_t acted[SLOTS];
  bool have_acted;
  bool have_signal;
  uint32_t last_frame;
} stream_t;

static int next = NOT_OURS;
static uint8_t slots[SLOTS];
static stream_t line, network;

void dmx_break(void) { next = START_CODE; }

static uint32_t pair(const uint8_t *frame, int parameter)
{
  return (uint32_t)frame[2 * parameter] << 8 | frame[2 * parameter + 1];
}

/* 0 is off, 1 the bottom, 65535 full, even in the logarithm between. */
static light_t level_of(uint32_t value)
{
  if (value == 0) return 0;
  return curve_light((log_t)(((int64_t)value - 65535) * DEPTH / 65534));
}

static bool same_as_before(const stream_t *stream, const uint8_t *frame)
{
  for (int slot = 0; slot < SLOTS; slot++)
    if (frame[slot] != stream->acted[slot]) return false;
  return stream->have_acted;
}

static bool complete(stream_t *stream, const uint8_t *frame)
{
  uint32_t now = lamp_time_us();
  uint32_t gap = now - stream->last_frame;
  bool runs = stream->have_signal && gap <= STREAM_GAP_US;
  uint32_t glide = gap < LONGEST_GLIDE_US ? gap : LONGEST_GLIDE_US;
  target_t target;
  stream->have_signal = true;
  stream->last_frame = now;
  if (same_as_before(stream, frame)) return false;
  for (int slot = 0; slot < SLOTS; slot++) stream->acted[slot] = frame[slot];
  stream->have_acted = true;
  target.level = level_of(pair(frame, 0));
  for (int channel = 0; channel < CHANNELS; channel++)
    target.intensity[channel] = (light_t)(((uint64_t)pair(frame, 1 + channel) * ONE + 32767) / 65535);
  light_glide(&target, runs ? glide / lamp_tick_us() : 0);
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
  return complete(&line, slots);
}

void dmx_watch(void)
{
  if (line.have_signal && lamp_time_us() - line.last_frame > LOSS_US) dmx_lost();
}

/* This lamp holds its light; the next frame acts again, whatever it says. */
static void lose(stream_t *stream)
{
  stream->have_signal = false;
  stream->have_acted = false;
}

void dmx_lost(void)
{
  lose(&line);
  next = NOT_OURS;
}

bool dmx_watching(void) { return line.have_signal; }

bool dmx_network_frame(const uint8_t *frame) { return complete(&network, frame); }
void dmx_network_lost(void) { lose(&network); }
