#include "dither.h"
#include "board.h"
#include "lamp-port.h"

/* Steps between two codes. The pattern repeats after as many ticks: 125 Hz at a tick of 1 ms, too fast to see. */
#define STEPS_LOG2 3
#define STEPS (1u << STEPS_LOG2)
/* From here on half a code is less than 0.05 % of the light, and rounding does. */
#define DITHER_BELOW 1024u

static uint32_t carry[CHANNELS];
static uint32_t sent[CHANNELS];

void dither_init(void)
{
  for (uint32_t channel = 0; channel < CHANNELS; channel++) {
    /* Channels begin apart, so that their steps do not add up in the mixed light. */
    carry[channel] = channel * STEPS / CHANNELS;
    sent[channel] = UINT32_MAX;
  }
}

static uint32_t rounded(light_t brightness, uint32_t bits)
{
  uint32_t drop = 30 - bits;
  return (brightness + (1u << (drop - 1))) >> drop;
}

bool dither_send(uint32_t channel, light_t brightness)
{
  uint32_t steps = rounded(brightness, MODULATOR_BITS + STEPS_LOG2);
  uint32_t fraction = steps % STEPS;
  uint32_t code = rounded(brightness, MODULATOR_BITS);
  bool dithered = steps / STEPS < DITHER_BELOW;
  if (dithered) {
    carry[channel] += fraction;
    code = steps / STEPS + carry[channel] / STEPS;
    carry[channel] %= STEPS;
  }
  if (code != sent[channel]) lamp_set_drive(channel, code);
  sent[channel] = code;
  return !dithered || fraction == 0;
}
