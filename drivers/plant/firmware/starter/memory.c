#include "memory.h"
#include "lamp-port.h"

/* Address 0: a marker that no new memory has; then level and intensities, 32 bits each; then the sum of all bytes. */
#define MARKER 0xa7u
#define VALUES (1 + CHANNELS)
#define SUM_AT (1 + 4 * VALUES)
#define ONE 4294967295.0

static uint32_t sum(void)
{
  uint32_t total = 0x5a;
  for (uint32_t address = 0; address < SUM_AT; address++) total = total * 31 + lamp_memory_read(address);
  return total & 0xff;
}

static void put(uint32_t address, uint32_t byte)
{
  if (lamp_memory_read(address) != byte) lamp_memory_write(address, byte);
}

void memory_keep(const target_t *target)
{
  put(0, MARKER);
  for (uint32_t index = 0; index < VALUES; index++) {
    uint32_t value = (uint32_t)((index == 0 ? target->level : target->intensity[index - 1]) * ONE);
    for (uint32_t byte = 0; byte < 4; byte++) put(1 + 4 * index + byte, value >> 8 * byte & 0xff);
  }
  put(SUM_AT, sum());
}

bool memory_restore(target_t *target)
{
  if (lamp_memory_read(0) != MARKER || lamp_memory_read(SUM_AT) != sum()) return false;
  for (uint32_t index = 0; index < VALUES; index++) {
    uint32_t value = 0;
    for (uint32_t byte = 0; byte < 4; byte++) value |= lamp_memory_read(1 + 4 * index + byte) << 8 * byte;
    *(index == 0 ? &target->level : &target->intensity[index - 1]) = value / ONE;
  }
  return true;
}
