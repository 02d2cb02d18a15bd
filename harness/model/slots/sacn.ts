import type { LampLinks } from '../../bench/lamp.ts';
import { perhapsNever } from '../light.ts';
import type { Moment, Reaction, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { follow, leaders, leads, slotLoss, unnoticedLoss, untold } from './follow-sources.ts';
import { otherStream } from './other-stream.ts';
import type { SacnMemory, SacnSource } from './sacn-memory.ts';
import { isLate, type Packet, readPacket } from './sacn-packet.ts';
import { cutShort, type Uncounted } from './short-frames.ts';
import { slotsOf } from './slot-values.ts';
import { afterLoss } from './take-slots.ts';

type Data = Extract<Packet, { is: 'data' }>;
type Link = NonNullable<LampLinks['sacn']>;

/** Without packets for so long a source, or a synchroniser, is lost (E1.31 6.7.1 and 11). s */
const networkLoss = 2.5;
/** A source that has nothing new sends at least so often (E1.31 6.6.2). s */
const keepAlive = 1;

/** A datagram on the network of the lamp. */
export function hearDatagram(
  world: World,
  datagram: readonly number[],
  moment: Moment,
): readonly Reaction[] {
  const link = moment.lamp.links.sacn;
  const packet = link ? readPacket(datagram) : null;
  if (!link || !packet) return [{ world }];
  const after =
    packet.is === 'sync'
      ? synchronise(world, packet, link, moment)
      : hearData(world, packet, link, moment);
  return after.map((one) => ({ world: one }));
}

/** Preview is not for light (E1.31 6.2.6); start codes other than 0 are not levels. */
function hearData(world: World, packet: Data, link: Link, moment: Moment): readonly World[] {
  if (packet.universe !== link.universe) return [world];
  const source = world.sacn.sources.find(({ cid }) => cid === packet.cid);
  const { missed, lossSettles } = world.sacn;
  if (missed?.cid === packet.cid) {
    const found = { ...world, sacn: { ...world.sacn, missed: null } };
    const noticed = hearData(found, packet, link, moment);
    if (source || moment.at > lossSettles) return noticed;
    const kept = follow(withSource(found, missed), link, moment);
    const unnoticed = kept.flatMap((one) => hearData(one, packet, link, moment));
    return fork(unnoticedLoss, ...noticed, ...unnoticed);
  }
  if (source && isLate(packet.sequence, source.sequence)) return [world];
  const early = world.sacn.unlisted.find(({ cid }) => cid === packet.cid);
  if (!early || source) return hearSound(world, packet, source, { link, moment });
  const unlisted = world.sacn.unlisted.filter((own) => own !== early);
  const listed = { ...world, sacn: { ...world.sacn, unlisted } };
  const taken = hearSound(listed, packet, source, { link, moment });
  const counts =
    moment.at - early.at <= networkLoss + moment.allowances.lossDelay &&
    isLate(packet.sequence, early.sequence);
  return counts ? fork(earlyNumbers, ...taken, world) : taken;
}

const earlyNumbers =
  'the first packets of a source had no levels: their numbers may count in its sequence, or not';

/** Nothing known of the source speaks against the packet's number. */
function hearSound(
  world: World,
  packet: Data,
  source: SacnSource | undefined,
  { link, moment }: Where,
): readonly World[] {
  if (packet.preview) return preview(world, packet, source, moment);
  if (packet.terminated && !source) return [world];
  const heard = hearLevels(world, packet, source, { link, moment });
  const isOneMore = !source && world.sacn.sources.length >= toldApart;
  return isOneMore ? fork(crowded, world, ...heard) : heard;
}

/** So many sources at a time a lamp hears at least (common practice, no source): how many it has room for is its maker's choice. */
const toldApart = 4;
const crowded = `there are more than ${toldApart} sources: the lamp may have no room for another`;

function hearLevels(
  world: World,
  packet: Data,
  source: SacnSource | undefined,
  { link, moment }: Where,
): readonly World[] {
  const taken = packet.terminated
    ? terminate(world, source, link, moment)
    : receive(world, packet, source, { link, moment });
  return packet.sound
    ? taken
    : fork('a packet has lengths or a priority that the standard does not know', world, ...taken);
}

/** It is not for light; whether it counts in the sequence of its source the standard does not say. */
function preview(
  world: World,
  { cid, sequence }: Data,
  source: SacnSource | undefined,
  moment: Moment,
): readonly World[] {
  if (!source) return [unlisted(world, cid, sequence, moment)];
  const counted = withSource(world, { ...source, sequence });
  const held = withSource(world, { ...source, sequence, at: moment.at, by: moment.of });
  return fork('a preview packet may count in its source, or not', world, counted, held);
}

const noLevels = 'packets of other start codes may keep their source there, or not';

/** Nobody has to make a source of one that sends no levels; who does knows its number (E1.31 6.7.2). */
function unlisted(world: World, cid: string, sequence: number, { at }: Moment): World {
  const others = world.sacn.unlisted.filter((own) => own.cid !== cid);
  return { ...world, sacn: { ...world.sacn, unlisted: [...others, { cid, sequence, at }] } };
}

/** The source has said something, but nothing that keeps it there. */
function quiet(world: World, source: SacnSource, { sequence }: Data): World {
  return withSource(world, { ...source, sequence });
}

interface Where {
  readonly link: Link;
  readonly moment: Moment;
}

const unheard =
  'a packet names a synchronisation address of which nothing has come: it may wait, or be taken as it comes';
const unawaited = 'packets have named no, or another, synchronisation address beside this one';

function receive(
  known: World,
  packet: Data,
  source: SacnSource | undefined,
  { link, moment }: Where,
): readonly World[] {
  const world = naming(known, packet.syncAddress);
  const { cid, priority, sequence } = packet;
  const old = {
    slots: source?.slots ?? null,
    waiting: source?.waiting ?? null,
    cut: source?.cut ?? false,
  };
  const heard = { cid, priority, sequence, at: moment.at, by: moment.of, ...old };
  if (packet.startCode !== 0)
    return source
      ? fork(noLevels, withSource(world, heard), quiet(world, source, packet))
      : [unlisted(world, cid, sequence, moment)];
  const before = old.slots ?? world.sacn.followed;
  const whole = () =>
    wholeSlots(packet.slots, before, { link, moment }).flatMap((slots) => {
      const free = doubtful(
        withSource(world, { ...heard, slots, waiting: null, cut: false }),
        slots,
        packet,
      );
      // Another source's packet may have the interface hand on again what the leading one says.
      return follow(free, link, moment);
    });
  const now = () =>
    packet.slots.length >= slotsOf(moment.lamp, link).to
      ? whole()
      : cutShort(
          source ? withSource(world, heard) : world,
          {
            taken: whole(),
            uncounted: uncounted(world, source, packet, heard),
            link: 'sacn',
            slots: link,
          },
          moment,
        );
  const held = () =>
    wholeSlots(packet.slots, before, { link, moment }).map((slots) =>
      doubtful(
        withSource(world, { ...heard, waiting: { slots, address: packet.syncAddress } }),
        slots,
        packet,
      ),
    );
  const state =
    packet.syncAddress === 0 ? 'free' : syncState(known.sacn, packet.syncAddress, moment);
  if (state === 'unheard') return fork(unheard, ...now(), ...held());
  if (state === 'unawaited') return fork(unawaited, ...held(), ...now());
  if (state === 'free' || (state === 'lost' && packet.forceSync)) return now();
  if (state === 'perhaps' && packet.forceSync)
    return fork('a packet came as its synchronisation was being lost', ...held(), ...now());
  return held();
}

/** A lamp that does not count cut slots: those that its source sent before hold on, or these stand for it. A habit, the same each time. */
function uncounted(
  world: World,
  source: SacnSource | undefined,
  packet: Data,
  heard: SacnSource,
): readonly Uncounted[] {
  const { cutsStand } = world.sacn;
  const left = source ? quiet(world, source, packet) : world;
  const standing = withSource(world, { ...heard, slots: packet.slots, waiting: null, cut: true });
  const ledByOther = (one: World) => leaders(one.sacn).length > 0 && !leads(one, packet);
  const either = [
    { stands: false, world: left },
    { stands: true, world: standing },
  ].filter(({ stands }) => cutsStand === null || stands === cutsStand);
  // Whatever became of the light as cut slots began to lead, more of them change nothing.
  const again = source?.cut === true && world.sacn.told === null;
  return either.map(({ stands, world: one }) => ({
    world: { ...one, sacn: { ...one.sacn, cutsStand: stands } },
    ledByOther: ledByOther(one) || (stands && again),
  }));
}

function naming(world: World, address: number): World {
  const { sacn } = world;
  if (sacn.named === address) return world;
  const synchronisers = sacn.synchronisers.map((own) =>
    own.address === address ? own : { ...own, awaited: false },
  );
  return { ...world, sacn: { ...sacn, synchronisers, named: address } };
}

/** Slots that a packet does not send may keep their values, also those of a source that has gone, or count as 0. */
function wholeSlots(
  sent: readonly number[],
  old: readonly number[] | null,
  { link, moment }: Where,
): readonly (readonly number[])[] {
  const { to } = slotsOf(moment.lamp, link);
  const kept = old?.slice(sent.length, to) ?? [];
  return sent.length >= to || kept.every((own) => own === 0) ? [sent] : [sent, [...sent, ...kept]];
}

function doubtful(world: World, slots: readonly number[], { slots: sent }: Data): World {
  const [doubted = world] =
    slots === sent ? [world] : fork('a packet has fewer slots than the lamp', world);
  return doubted;
}

/**
 * Nobody ever synchronised that address, somebody did before the lamp had to listen to it (E1.31 11: it learns the address from packets of
 * data), somebody does, or nobody does any more.
 */
function syncState(
  { synchronisers }: SacnMemory,
  address: number,
  { at, allowances }: Moment,
): 'unheard' | 'unawaited' | 'synchronised' | 'perhaps' | 'lost' {
  const known = synchronisers.filter((own) => own.address === address);
  if (known.length === 0) return 'unheard';
  if (!known.some(({ awaited }) => awaited)) return 'unawaited';
  const age = at - Math.max(...known.map((own) => own.at));
  if (age <= networkLoss) return 'synchronised';
  return age > networkLoss + allowances.lossDelay ? 'lost' : 'perhaps';
}

function synchronise(
  world: World,
  { cid, sequence, address }: Extract<Packet, { is: 'sync' }>,
  link: Link,
  moment: Moment,
): readonly World[] {
  if (address === 0) return [world];
  const { sacn } = world;
  const same = sacn.synchronisers.find((own) => own.cid === cid && own.address === address);
  if (same && isLate(sequence, same.sequence) && moment.at - same.at <= networkLoss) return [world];
  const synchronisers = [
    ...sacn.synchronisers.filter((own) => own !== same),
    { cid, address, sequence, at: moment.at, awaited: sacn.named === address },
  ];
  const released = sacn.sources.filter(({ waiting }) => waiting?.address === address);
  const sources = sacn.sources.map((source) =>
    source.waiting?.address === address
      ? { ...source, slots: source.waiting.slots, waiting: null, cut: false }
      : source,
  );
  const next = { ...world, sacn: { ...sacn, synchronisers, sources } };
  return released.some((source) => leads(next, source)) ? follow(next, link, moment) : [next];
}

function withSource(world: World, source: SacnSource): World {
  const others = world.sacn.sources.filter(({ cid }) => cid !== source.cid);
  return { ...world, sacn: { ...world.sacn, sources: [...others, source] } };
}

function terminate(
  world: World,
  source: SacnSource | undefined,
  link: Link,
  moment: Moment,
): readonly World[] {
  return source ? withoutSource(world, source, link, moment) : [world];
}

/** Who leads then takes over, with the next packet at the latest; where nobody is left, the signal is lost. */
function withoutSource(
  world: World,
  source: SacnSource,
  link: Link,
  moment: Moment,
): readonly World[] {
  const led = leads(world, source);
  const sources = world.sacn.sources.filter((own) => own !== source);
  const lossSettles = moment.at + moment.allowances.lossDelay;
  const next = { ...world, sacn: { ...world.sacn, sources, lossSettles } };
  if (sources.length === 0) {
    const within = moment.allowances.lossDelay;
    const how = { link: 'sacn' as const, slots: link, by: source.by, within };
    const gone = unmissed(untold(next), moment);
    const never = perhapsNever(gone, moment, goneBefore);
    return afterLoss(never ?? gone, how, moment);
  }
  const [leader] = leaders(next.sacn);
  if (led && !leader) return waitingAlone(next, link, moment);
  if (!leader) return [next];
  const { lossDelay } = moment.allowances;
  // The interface may hand on (again) what the leading one says with its next packet. While DMX512 has the light that may never come.
  const silent = otherStream(next, 'sacn', moment) ? leader.at + networkLoss - moment.at : 0;
  const packetWithin = Math.max(keepAlive, silent);
  const after = follow(next, link, { ...moment, of: leader.by }, packetWithin + lossDelay);
  if (!led) return after;
  // One that goes as well may be gone before the lamp looks at it.
  const goesToo = leader.at + networkLoss <= moment.at + lossDelay;
  return goesToo ? fork('several sources went at the same time', next, ...after) : after;
}

/** A lamp with one input for both streams misses nothing while DMX512 speaks, or has not been lost yet. */
function unmissed(world: World, { lamp, allowances }: Moment): World {
  const { lost, alive } = world.slots;
  if (!lamp.links.dmx || (!alive && lost === null)) return world;
  const unmissedUntil = lost ? lost.at + slotLoss + allowances.lossDelay : beyond;
  return { ...world, sacn: { ...world.sacn, unmissedUntil } };
}

/** s, beyond any sequence. */
const beyond = 1e12;

const goneBefore = 'a source was to have the light with its next packet, and went without one';

/** Sources whose levels wait for synchronisation are a signal, or none: the standard does not say. */
function waitingAlone(world: World, link: Link, moment: Moment): readonly World[] {
  const within = slotLoss + moment.allowances.lossDelay;
  const how = { link: 'sacn' as const, slots: link, by: moment.of, within };
  const lost = afterLoss(untold(world), how, moment);
  return fork('what sources are left wait for synchronisation', world, ...lost);
}

export function nextSourceLoss({ sources }: SacnMemory): number {
  return Math.min(...sources.map(({ at }) => at + networkLoss));
}

/** A source was silent for too long. A lamp without power does not follow the others. */
export function loseSource(world: World, moment: Moment): readonly World[] {
  const link = moment.lamp.links.sacn;
  const lost = world.sacn.sources.find(({ at }) => at + networkLoss <= moment.at);
  if (!lost || !link) return [world];
  if (world.power.lostAt !== null && world.strain === null) {
    const sources = world.sacn.sources.filter((own) => own !== lost);
    return [{ ...world, sacn: { ...world.sacn, sources } }];
  }
  const noted = { ...world, sacn: { ...world.sacn, missed: lost } };
  return withoutSource(noted, lost, link, { ...moment, of: lost.by });
}

/**
 * After a restart of the firmware: a network interface of its own may remember its sources, and hand on what they say, up to their next
 * packet.
 */
export function rememberSources(world: World, { sacn }: World, moment: Moment): readonly World[] {
  const link = moment.lamp.links.sacn;
  if (!link || sacn.sources.length === 0) return [];
  const kept = { ...world, sacn: { ...sacn, told: null } };
  return follow(kept, link, moment, keepAlive + moment.allowances.lossDelay);
}
