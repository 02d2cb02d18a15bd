#include "light.h"
#include "lamp-port.h"

/* A code of the modulator is divided by 2^3 in time: a pattern of eight ticks, too fast to be seen. */
#define STEPS 8u
/* From here on half a code is less than 0.05 % of the light, and rounding does. */
#define DITHER_BELOW 1024u

typedef struct {
  double from, to;       /* in the domain of the dimming curve */
  double present, end;   /* light */
  bool moving;
  uint32_t carry, sent;
} channel_t;

static channel_t channels[CHANNELS];
static target_t target;
static uint32_t elapsed, duration;   /* ticks */

/* Double has 52 bits behind the point; the exponent stands above them. */
static double with_exponent(double value, int exponent)
{
  union { double real; uint64_t bits; } parts = { value };
  parts.bits += (uint64_t)(int64_t)exponent << 52;
  return parts.real;
}

static double log2_of(double value)
{
  union { double real; uint64_t bits; } parts = { value };
  int exponent = (int)(parts.bits >> 52) - 1023;
  double mantissa = with_exponent(value, -exponent);
  double part = (mantissa - 1) / (mantissa + 1), square = part * part, sum = 0;
  for (int odd = 25; odd > 0; odd -= 2) sum = sum * square + 1.0 / odd;
  return exponent + 2.885390081777927 * part * sum;
}

static double exp2_of(double value)
{
  int whole = (int)value - (value < 0);
  double rest = (value - whole) * 0.6931471805599453, sum = 1;
  for (int term = 16; term > 0; term--) sum = 1 + sum * rest / term;
  return with_exponent(sum, whole);
}

/* The domain in which a fade is straight. Dark counts as the bottom of a logarithmic curve, or as the other end where that is lower. */
static double domain(double light, double other)
{
  if (!CURVE_IS_LOGARITHMIC) return light;
  if (light <= 0) light = other < BOTTOM ? other : BOTTOM;
  return log2_of(light);
}

static double light_of(double value) { return CURVE_IS_LOGARITHMIC ? exp2_of(value) : value; }

double curve_at(double position)
{
  return position >= 1 ? 1 : exp2_of((1 - position) * log2_of(BOTTOM));
}

void light_init(void)
{
  for (uint32_t index = 0; index < CHANNELS; index++) {
    channels[index].sent = UINT32_MAX;
    /* The patterns begin apart, so that their steps do not add up in the mixed light. */
    channels[index].carry = index * STEPS / CHANNELS;
    target.intensity[index] = 1;
  }
}

static void go(const target_t *wanted, uint32_t ticks)
{
  target = *wanted;
  elapsed = 0;
  duration = ticks;
  for (uint32_t index = 0; index < CHANNELS; index++) {
    channel_t *own = &channels[index];
    own->end = target.level * target.intensity[index];
    own->moving = own->end > 0 || own->present > 0;
    if (!own->moving) continue;
    own->from = domain(own->present, own->end);
    own->to = domain(own->end, own->present);
  }
}

void light_go(const target_t *wanted, uint32_t milliseconds)
{
  go(wanted, (uint32_t)((uint64_t)milliseconds * 1000 / lamp_tick_us()));
}

void light_glide(const target_t *wanted, uint32_t microseconds) { go(wanted, microseconds / lamp_tick_us()); }

const target_t *light_target(void) { return &target; }

static bool send(uint32_t index, double light)
{
  channel_t *own = &channels[index];
  uint32_t full = 1u << MODULATOR_BITS;
  uint32_t steps = (uint32_t)(light * full * STEPS + 0.5);
  uint32_t code = (uint32_t)(light * full + 0.5);
  bool dithered = steps / STEPS < DITHER_BELOW && steps % STEPS > 0;
  if (dithered) {
    own->carry += steps % STEPS;
    code = steps / STEPS + own->carry / STEPS;
    own->carry %= STEPS;
  }
  if (code != own->sent) lamp_set_drive(index, code);
  own->sent = code;
  return !dithered;
}

bool light_tick(bool dark)
{
  bool still = true;
  bool arrived = ++elapsed >= duration;
  for (uint32_t index = 0; index < CHANNELS; index++) {
    channel_t *own = &channels[index];
    if (own->moving) {
      own->present = arrived ? own->end : light_of(own->from + (own->to - own->from) * elapsed / duration);
      own->moving = !arrived;
    }
    if (!send(index, dark ? 0 : own->present) || own->moving) still = false;
  }
  return still;
}
