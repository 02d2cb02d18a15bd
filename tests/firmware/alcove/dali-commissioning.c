#include "board.h"
#include "dali-state.h"
#include "lamp-port.h"

enum { TERMINATE = 0xa1, INITIALISE = 0xa5, RANDOMISE = 0xa7, COMPARE = 0xa9, WITHDRAW = 0xab, SEARCH_HIGH = 0xb1,
       SEARCH_MIDDLE = 0xb3, SEARCH_LOW = 0xb5, PROGRAM_SHORT = 0xb7, VERIFY_SHORT = 0xb9, QUERY_SHORT = 0xbb };

/* INITIALISE holds for 15 minutes. */
#define INITIALISED_US 900000000u

static bool initialised;
static uint32_t initialised_at;
static bool withdrawn;
static uint32_t search;

void commissioning_init(void) { initialised = false; }

/* 0AAAAAA1 */
static bool is_short(uint32_t value) { return (value & 0x81) == 1; }

/* All gear, gear without a short address, or the gear with this one. */
static bool is_meant(uint32_t value)
{
  uint32_t address = gear.kept.short_address;
  if (value == DALI_MASK) return address == DALI_MASK;
  return value == 0 || (is_short(value) && value >> 1 == address);
}

/* From serial number and time: all that a lamp without dice has. */
static uint32_t draw(void)
{
  uint32_t hash = (SERIAL_NUMBER ^ lamp_time_us()) * 0x85ebca6bu;
  hash = (hash ^ hash >> 13) * 0xc2b2ae35u;
  hash = (hash ^ hash >> 16) >> 8;
  return hash < NO_RANDOM_ADDRESS ? hash : NO_RANDOM_ADDRESS - 1;
}

static void initialise(void)
{
  if (!initialised) search = NO_RANDOM_ADDRESS;
  initialised = true;
  initialised_at = lamp_time_us();
  withdrawn = false;
}

int32_t commissioning_take(uint32_t command, uint8_t value)
{
  uint8_t *address = &gear.kept.short_address;
  bool found = gear.kept.random_address == search;
  if (initialised && lamp_time_us() - initialised_at >= INITIALISED_US) initialised = false;
  if (command == INITIALISE && is_meant(value)) initialise();
  if (command == INITIALISE || !initialised) return -1;
  switch (command) {
    case TERMINATE: initialised = false; break;
    case RANDOMISE: gear.kept.random_address = draw(); break;
    case SEARCH_HIGH: search = (search & 0x00ffff) | (uint32_t)value << 16; break;
    case SEARCH_MIDDLE: search = (search & 0xff00ff) | (uint32_t)value << 8; break;
    case SEARCH_LOW: search = (search & 0xffff00) | value; break;
    case COMPARE: return !withdrawn && gear.kept.random_address <= search ? 0xff : -1;
    case WITHDRAW: withdrawn = withdrawn || found; break;
    case PROGRAM_SHORT:
      if (found && value == DALI_MASK) *address = DALI_MASK;
      else if (found && is_short(value)) *address = value >> 1;
      break;
    case VERIFY_SHORT: return is_short(value) && value >> 1 == *address ? 0xff : -1;
    case QUERY_SHORT:
      if (!found) return -1;
      return *address == DALI_MASK ? DALI_MASK : *address << 1 | 1;
  }
  return -1;
}
