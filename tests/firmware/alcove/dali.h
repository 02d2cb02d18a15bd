/* Control gear after IEC 62386-102, with colour temperature and primaries after -209. */
#ifndef DALI_H
#define DALI_H

#include <stdbool.h>
#include <stdint.h>

#define DALI_MASK 255
#define NO_RANDOM_ADDRESS 0xffffffu
#define OEM_BYTES 14u

/* What the gear keeps over a power loss. */
typedef struct {
  uint8_t short_address;
  uint8_t max;
  uint8_t min;
  uint8_t power_on_level;
  uint8_t system_failure_level;
  uint8_t fade_time;
  uint8_t fade_rate;
  uint8_t extended_fade_time;
  uint16_t groups;
  uint16_t coolest;
  uint16_t warmest;
  uint8_t scenes[16];
  /* 24 bit; NO_RANDOM_ADDRESS: none was drawn. */
  uint32_t random_address;
  /* Memory bank 1 from location 3 on: the luminaire maker's. */
  uint8_t oem[OEM_BYTES];
} registers_t;

void dali_init(void);
registers_t *dali_registers(void);
/* Acts on a 16 bit forward frame. True when it was for us. */
bool dali_take(uint32_t frame);
void dali_bus_failed(void);
/* Power has returned, and no command has come: the power-on level. */
void dali_power_on(void);
/* Goes to a level, clamped to MIN..MAX, with the colour that waits for it. */
void dali_go(uint32_t level, uint32_t milliseconds);
/* Another link has set the light. */
void dali_overruled(void);

#endif
