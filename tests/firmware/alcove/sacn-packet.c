#include "sacn-packet.h"

#define SYNC_LENGTH 49u
#define SLOTS_AT 126u
#define HIGHEST_PRIORITY 200

enum { ROOT_DATA = 4, ROOT_EXTENDED = 8 };
enum { FRAME_DATA = 2, FRAME_SYNC = 1 };

static uint32_t two(const uint8_t *at) { return (uint32_t)at[0] << 8 | at[1]; }
static uint32_t four(const uint8_t *at) { return two(at) << 16 | two(at + 2); }

/* A layer that begins at `from` and goes to the end of the datagram says so. */
static bool reaches_end(const uint8_t *head, uint32_t from, uint32_t length)
{
  return two(head + from) == (0x7000u | (length - from));
}

/* The root layer (5). */
static bool root_is(uint32_t vector, const uint8_t *head, uint32_t length)
{
  static const uint8_t start[16] = { 0, 16, 0, 0, 'A', 'S', 'C', '-', 'E', '1', '.', '1', '7' };
  for (int index = 0; index < 16; index++)
    if (head[index] != start[index]) return false;
  return reaches_end(head, 16, length) && four(head + 18) == vector;
}

/* The DMP layer (7): one set of properties, from address 0 on. */
static bool has_slots(const uint8_t *head, uint32_t length)
{
  uint32_t properties = two(head + 123);
  return reaches_end(head, 115, length) && head[117] == 2 && head[118] == 0xa1 && two(head + 119) == 0 &&
         two(head + 121) == 1 && properties >= 1 && properties <= 513 && properties == length - SLOTS_AT + 1;
}

bool sacn_data_packet(const uint8_t *head, uint32_t length, data_packet_t *packet)
{
  if (length < SLOTS_AT || !root_is(ROOT_DATA, head, length)) return false;
  if (!reaches_end(head, 38, length) || four(head + 40) != FRAME_DATA || !has_slots(head, length)) return false;
  packet->cid = head + 22;
  packet->priority = head[108];
  packet->sync_address = two(head + 109);
  packet->sequence = head[111];
  packet->preview = head[112] & 0x80;
  packet->terminated = head[112] & 0x40;
  packet->force_sync = head[112] & 0x20;
  packet->universe = two(head + 113);
  packet->start_code = head[125];
  packet->count = length - SLOTS_AT;
  packet->slots = head + SLOTS_AT;
  return packet->priority <= HIGHEST_PRIORITY;
}

bool sacn_sync_packet(const uint8_t *head, uint32_t length, sync_packet_t *packet)
{
  if (length != SYNC_LENGTH || !root_is(ROOT_EXTENDED, head, length)) return false;
  if (!reaches_end(head, 38, length) || four(head + 40) != FRAME_SYNC) return false;
  packet->cid = head + 22;
  packet->sequence = head[44];
  packet->address = two(head + 45);
  return packet->address != 0;
}
