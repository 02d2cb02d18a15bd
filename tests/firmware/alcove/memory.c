#include "memory.h"
#include "dali.h"
#include "lamp-port.h"
#include "light.h"

/* Address 0: marker; then level and intensities; then the registers; then the checksum over all of it. */
#define MARKER 0xa7u
#define LIGHT_AT 4u
#define REGISTERS_AT (LIGHT_AT + 4u * (1 + CHANNELS))
#define CHECKSUM_AT (REGISTERS_AT + (uint32_t)sizeof(registers_t))

static void write_bytes(uint32_t address, const void *from, uint32_t count)
{
  const uint8_t *bytes = from;
  for (uint32_t index = 0; index < count; index++) lamp_memory_write(address + index, bytes[index]);
}

static void read_bytes(uint32_t address, void *to, uint32_t count)
{
  uint8_t *bytes = to;
  for (uint32_t index = 0; index < count; index++) bytes[index] = (uint8_t)lamp_memory_read(address + index);
}

static uint8_t checksum(void)
{
  uint32_t sum = 0x5a;
  for (uint32_t address = 0; address < CHECKSUM_AT; address++) sum = sum * 31 + lamp_memory_read(address);
  return (uint8_t)sum;
}

void memory_keep(void)
{
  lamp_memory_write(0, MARKER);
  write_bytes(LIGHT_AT, light_target(), sizeof(target_t));
  write_bytes(REGISTERS_AT, dali_registers(), sizeof(registers_t));
  lamp_memory_write(CHECKSUM_AT, checksum());
}

bool memory_restore(void)
{
  target_t target;
  if (lamp_memory_read(0) != MARKER || lamp_memory_read(CHECKSUM_AT) != checksum()) return false;
  read_bytes(REGISTERS_AT, dali_registers(), sizeof(registers_t));
  read_bytes(LIGHT_AT, &target, sizeof(target_t));
  /* A level of its own comes later: the mix is the last one. */
  if (dali_registers()->power_on_level != DALI_MASK) target.level = 0;
  light_go(&target, 0);
  return true;
}
