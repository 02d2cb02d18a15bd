/* What is in a datagram of sACN (ANSI E1.31-2018; clauses and layout from memory). */
#ifndef SACN_PACKET_H
#define SACN_PACKET_H

#include <stdbool.h>
#include <stdint.h>
#include "board.h"

#define CID_LENGTH 16
/* As much of a datagram as matters to this lamp: what stands before the slots, and the slots up to its last one. */
#define SACN_HEAD (126 + FIRST_SLOT - 1 + SLOTS)

typedef struct {
  const uint8_t *cid;
  uint32_t universe, sync_address;
  uint8_t priority, sequence, start_code;
  bool preview, terminated, force_sync;
  /* Slots that were sent, and the first of them. */
  uint32_t count;
  const uint8_t *slots;
} data_packet_t;

typedef struct {
  const uint8_t *cid;
  uint32_t address;
  uint8_t sequence;
} sync_packet_t;

/* `head` holds the first SACN_HEAD bytes of a datagram that is `length` bytes long. False: it is no such packet, or not a sound one. */
bool sacn_data_packet(const uint8_t *head, uint32_t length, data_packet_t *packet);
bool sacn_sync_packet(const uint8_t *head, uint32_t length, sync_packet_t *packet);

#endif
