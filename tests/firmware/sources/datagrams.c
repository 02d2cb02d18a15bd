/*
 * The least receiver of sACN (ANSI E1.31-2018) that drives a light, straight: data packets of its universe whose slots
 * are levels. With -DTAKES_PREVIEW it takes for light what is a preview only, and with -DSEQUENCE_BLIND what was overtaken.
 */
#include "lamp-port.h"

#define UNIVERSE 7u
#define LIGHT_FROM 126u

static uint32_t level, last;
static bool heard;

static uint32_t byte(uint32_t index) { return lamp_datagram_byte(index); }

void lamp_init(void)
{
  for (uint32_t channel = 0; channel < lamp_channels(); channel++) {
    lamp_set_pulse_density(channel, 16, 20000000);
    lamp_set_off_time(channel, 1000);
    lamp_set_peak_current(channel, 500000);
  }
}

bool lamp_tick(void)
{
  for (uint32_t channel = 0; channel < lamp_channels(); channel++) lamp_set_drive(channel, level);
  return true;
}

void lamp_receive_datagram(uint32_t length)
{
  if (length < LIGHT_FROM + 2 || byte(4) != 'A' || byte(21) != 4 || byte(43) != 2) return;
  if ((byte(113) << 8 | byte(114)) != UNIVERSE || byte(125) != 0) return;
  int8_t ahead = (int8_t)(byte(111) - last);
#ifndef SEQUENCE_BLIND
  if (heard && ahead <= 0 && ahead > -20) return;
#endif
  last = byte(111);
  heard = true;
  bool preview = byte(112) & 0x80;
#ifndef TAKES_PREVIEW
  if (preview) return;
#endif
  if (byte(112) & 0x40) return;
  level = byte(LIGHT_FROM) << 8 | byte(LIGHT_FROM + 1);
}
