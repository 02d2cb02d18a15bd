#include "light.h"
#include "dither.h"
#include "fade.h"
#include "lamp-port.h"

static target_t target;
/* The last one is the dim level, so that queries can tell where it is. */
static fade_t fades[CHANNELS + 1];
static uint32_t now;
static bool fading;
/* The last order was a glide. */
static bool gliding;
static uint32_t orders;

void light_init(void)
{
  for (int channel = 0; channel < CHANNELS; channel++) target.intensity[channel] = ONE;
  dither_init();
}

uint32_t ticks_of_ms(uint32_t milliseconds)
{
  return (uint32_t)((uint64_t)milliseconds * 1000 / lamp_tick_us());
}

/* `floor` 0: the bottom of the curve, for each channel by itself; and so for one that leaves the mix. */
static void set_floors(light_t floor)
{
  for (int channel = 0; channel < CHANNELS; channel++) {
    light_t own = curve_product(floor, target.intensity[channel]);
    fades[channel].floor = own > 0 ? own : BOTTOM;
  }
  fades[CHANNELS].floor = floor > 0 ? floor : BOTTOM;
}

static void go(const target_t *wanted, uint32_t ticks, light_t floor, bool glide)
{
  /* A fade of another link is cut short; a run of glides to the dark is not begun again and again. */
  bool runs = glide && gliding;
  target = *wanted;
  gliding = glide;
  set_floors(floor);
  orders++;
  for (int channel = 0; channel < CHANNELS; channel++) {
    fade_t *fade = &fades[channel];
    light_t brightness = curve_product(target.level, target.intensity[channel]);
    if (runs && brightness == 0 && fade->moving && fade->target == 0) continue;
    fade_order(fade, brightness, ticks, now);
  }
  fade_order(&fades[CHANNELS], target.level, ticks, now);
  fading = ticks > 0;
}

void light_go(const target_t *wanted, uint32_t ticks) { go(wanted, ticks, 0, false); }
void light_go_above(const target_t *wanted, uint32_t ticks, light_t floor) { go(wanted, ticks, floor, false); }
void light_glide(const target_t *wanted, uint32_t ticks) { go(wanted, ticks, 0, true); }

uint32_t light_orders(void) { return orders; }

void light_hold(void)
{
  for (int index = 0; index <= CHANNELS; index++) fade_hold(&fades[index]);
  target.level = fades[CHANNELS].present;
  fading = false;
}

const target_t *light_target(void) { return &target; }
light_t light_level(void) { return fades[CHANNELS].present; }
bool light_fading(void) { return fading; }

bool light_moving(void)
{
  for (int index = 0; index <= CHANNELS; index++)
    if (fades[index].moving) return true;
  return false;
}

bool light_tick(bool dark)
{
  bool still = true;
  now++;
  for (int index = 0; index <= CHANNELS; index++) fade_advance(&fades[index], now);
  if (!light_moving()) fading = false;
  for (uint32_t channel = 0; channel < CHANNELS; channel++)
    if (!dither_send(channel, dark ? 0 : fades[channel].present)) still = false;
  return still && !light_moving();
}
