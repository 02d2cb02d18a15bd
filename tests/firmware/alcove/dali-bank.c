#include "board.h"
#include "dali-state.h"

/* The lock byte of bank 1 holds this while its other bytes may be written. */
#define UNLOCKED 0x55
#define LOCK_AT 2u
#define OEM_AT 3u
/* Edition 2.0, as QUERY VERSION NUMBER codes it. */
#define EDITION 0x08

/* Last location, (none), last bank, trade number, firmware, serial number, hardware, editions of -101, -102, -103, units. */
static const uint8_t identity[] = {
  26, 0, 1, 0, 0, 0, 0, 0, 0, 1, 0,
  0, 0, 0, 0, SERIAL_NUMBER >> 24 & 255, SERIAL_NUMBER >> 16 & 255, SERIAL_NUMBER >> 8 & 255, SERIAL_NUMBER & 255,
  1, 0, EDITION, EDITION, 255, 0, 1, 0
};

static bool writable;
static uint8_t lock;

void bank_init(void)
{
  writable = false;
  lock = 0xff;
}

void bank_enable_write(bool enable) { writable = enable; }

/* The location that DTR0 names; DTR0 moves on. */
static uint32_t next_location(void)
{
  uint32_t location = gear.dtr[0];
  if (location < 255) gear.dtr[0]++;
  return location;
}

int32_t bank_read(void)
{
  if (gear.dtr[1] > 1) return -1;
  uint32_t location = next_location();
  if (gear.dtr[1] == 0) return location == 1 || location >= sizeof identity ? -1 : identity[location];
  if (location == 0) return OEM_AT + OEM_BYTES - 1;
  if (location == 1) return 0;
  if (location == LOCK_AT) return lock;
  return location < OEM_AT + OEM_BYTES ? gear.kept.oem[location - OEM_AT] : -1;
}

int32_t bank_write(uint8_t value)
{
  if (!writable || gear.dtr[1] > 1) return -1;
  uint32_t location = next_location();
  if (gear.dtr[1] == 0) return -1;
  if (location == LOCK_AT) return lock = value;
  if (lock != UNLOCKED || location < OEM_AT || location >= OEM_AT + OEM_BYTES) return -1;
  return gear.kept.oem[location - OEM_AT] = value;
}
