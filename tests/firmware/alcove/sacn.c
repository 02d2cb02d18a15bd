#include "sacn.h"
#include "dmx.h"
#include "lamp-port.h"
#include "sacn-packet.h"

/* E131_NETWORK_DATA_LOSS_TIMEOUT (appendix A). */
#define LOSS_US 2500000u
/* More than that are not told apart; who comes when all places are taken is not heard. */
#define SOURCES 8
#define SYNCERS 4
/* A packet that is up to so many behind the last one is late, one further behind begins anew (6.7.2). */
#define LATE 20

typedef struct {
  uint8_t slots[SLOTS];
  uint8_t priority;
} levels_t;

typedef struct {
  bool used;
  uint8_t cid[CID_LENGTH];
  uint8_t sequence;
  uint32_t heard;
  /* What it wants of the light now; `since` tells which of several is the latest. */
  bool live;
  levels_t levels;
  uint32_t since;
  /* What waits for a synchronisation packet of `address`. */
  bool waits;
  levels_t waiting;
  uint32_t address;
} source_t;

/* Who synchronises an address, or did (`lost`). */
typedef struct {
  bool used, lost;
  uint8_t cid[CID_LENGTH];
  uint32_t address;
  uint8_t sequence;
  uint32_t heard;
} syncer_t;

static source_t sources[SOURCES];
static syncer_t syncers[SYNCERS];
/* Slots of the source that had the light last: those that nobody sends keep their values. */
static uint8_t present[SLOTS];
static uint32_t packets;

static bool same_cid(const uint8_t *one, const uint8_t *other)
{
  for (int index = 0; index < CID_LENGTH; index++)
    if (one[index] != other[index]) return false;
  return true;
}

static void copy(uint8_t *to, const uint8_t *from, int length)
{
  for (int index = 0; index < length; index++) to[index] = from[index];
}

/* 6.7.2: late, or the same once more. */
static bool overtaken(uint8_t sequence, uint8_t last)
{
  int8_t ahead = (int8_t)(uint8_t)(sequence - last);
  return ahead <= 0 && ahead > -LATE;
}

static source_t *find_source(const uint8_t *cid)
{
  for (int index = 0; index < SOURCES; index++)
    if (sources[index].used && same_cid(sources[index].cid, cid)) return &sources[index];
  return 0;
}

static source_t *new_source(const uint8_t *cid)
{
  for (int index = 0; index < SOURCES; index++) {
    source_t *source = &sources[index];
    if (source->used) continue;
    *source = (source_t){ .used = true };
    copy(source->cid, cid, CID_LENGTH);
    copy(source->levels.slots, present, SLOTS);
    return source;
  }
  return 0;
}

/* The highest priority has the light (6.2.3); of several with the same one that of the latest packet has it: common practice, no source. */
static source_t *leader(void)
{
  source_t *best = 0;
  for (int index = 0; index < SOURCES; index++) {
    source_t *source = &sources[index];
    if (!source->used || !source->live) continue;
    bool higher = best && source->levels.priority > best->levels.priority;
    bool later = best && source->levels.priority == best->levels.priority && (int32_t)(source->since - best->since) > 0;
    if (!best || higher || later) best = source;
  }
  return best;
}

static bool hand_on(void)
{
  source_t *source = leader();
  if (!source) return false;
  copy(present, source->levels.slots, SLOTS);
  return dmx_network_frame(present);
}

/* After sources have gone: `led` had the light, which is the next one's now, or holds. */
static bool settle(const source_t *led)
{
  if (!led || led->used) return false;
  if (leader()) return hand_on();
  dmx_network_lost();
  return false;
}

static bool end(source_t *source)
{
  const source_t *led = leader();
  source->used = false;
  return settle(led);
}

/*
 * A packet waits while its address is synchronised. Nobody waits for an address that was silent so far (11.1.1). Where synchronisation
 * was there and is lost, the packet says whether to go on without (Force_Synchronization, 6.2.6).
 */
static bool has_to_wait(const data_packet_t *packet)
{
  bool known = false;
  for (int index = 0; index < SYNCERS; index++) {
    const syncer_t *syncer = &syncers[index];
    if (!syncer->used || syncer->address != packet->sync_address) continue;
    if (!syncer->lost) return true;
    known = true;
  }
  return known && !packet->force_sync;
}

static void go_live(source_t *source, const levels_t *levels)
{
  source->levels = *levels;
  source->live = true;
  source->since = packets++;
  source->waits = false;
}

static bool take_levels(source_t *source, const data_packet_t *packet)
{
  bool waits = has_to_wait(packet);
  /* What does not have to wait discards what still does (6.2.4.1). */
  levels_t levels = waits && source->waits ? source->waiting : source->levels;
  for (uint32_t slot = 0; slot < SLOTS; slot++) {
    uint32_t index = FIRST_SLOT - 1 + slot;
    if (index < packet->count) levels.slots[slot] = packet->slots[index];
  }
  levels.priority = packet->priority;
  if (waits) {
    source->waiting = levels;
    source->waits = true;
    source->address = packet->sync_address;
    return false;
  }
  go_live(source, &levels);
  return hand_on();
}

static bool take_data(const data_packet_t *packet)
{
  if (packet->universe != UNIVERSE) return false;
  source_t *source = find_source(packet->cid);
  if (source && overtaken(packet->sequence, source->sequence)) return false;
  if (packet->terminated) return source && end(source);
  if (!source) source = new_source(packet->cid);
  if (!source) return false;
  source->sequence = packet->sequence;
  source->heard = lamp_time_us();
  if (packet->preview || packet->start_code != 0) return false;
  return take_levels(source, packet);
}

static syncer_t *syncer_of(const sync_packet_t *packet)
{
  syncer_t *vacant = 0;
  for (int index = 0; index < SYNCERS; index++) {
    syncer_t *syncer = &syncers[index];
    if (syncer->used && syncer->address == packet->address && same_cid(syncer->cid, packet->cid)) return syncer;
    if (!syncer->used || (syncer->lost && !vacant)) vacant = syncer;
  }
  return vacant;
}

static bool take_sync(const sync_packet_t *packet)
{
  syncer_t *syncer = syncer_of(packet);
  if (!syncer) return false;
  bool goes_on = syncer->used && !syncer->lost;
  if (goes_on && overtaken(packet->sequence, syncer->sequence)) return false;
  *syncer = (syncer_t){ .used = true, .address = packet->address, .sequence = packet->sequence };
  copy(syncer->cid, packet->cid, CID_LENGTH);
  syncer->heard = lamp_time_us();
  for (int index = 0; index < SOURCES; index++) {
    source_t *source = &sources[index];
    if (source->used && source->waits && source->address == packet->address) go_live(source, &source->waiting);
  }
  return hand_on();
}

bool sacn_take(const uint8_t *head, uint32_t length)
{
  data_packet_t data;
  sync_packet_t sync;
  if (sacn_data_packet(head, length, &data)) return take_data(&data);
  return sacn_sync_packet(head, length, &sync) && take_sync(&sync);
}

bool sacn_watch(void)
{
  uint32_t now = lamp_time_us();
  const source_t *led = leader();
  for (int index = 0; index < SYNCERS; index++)
    if (syncers[index].used && !syncers[index].lost && now - syncers[index].heard > LOSS_US) syncers[index].lost = true;
  for (int index = 0; index < SOURCES; index++)
    if (sources[index].used && now - sources[index].heard > LOSS_US) sources[index].used = false;
  return settle(led);
}

bool sacn_watching(void)
{
  for (int index = 0; index < SOURCES; index++)
    if (sources[index].used) return true;
  for (int index = 0; index < SYNCERS; index++)
    if (syncers[index].used && !syncers[index].lost) return true;
  return false;
}
