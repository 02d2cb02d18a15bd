import type { Answered, Heard } from '../../bench/heard.ts';
import { linkFacts } from '../../bench/links.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { findMetric } from '../../measure/metrics.ts';
import type { Commanded } from '../../measure/observation.ts';
import type { Condition } from '../../plan/plan.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import { effectAt } from '../condition/link-timing.ts';

/** What was sent to the lamp up to the end of a pass, on the condition's time line: what came before the condition too. */
export interface HeardPass {
  /** Only this channel was lit. */
  readonly solo: string | null;
  readonly heard: readonly Heard[];
  readonly answered: readonly Answered[];
  /** Standard uncertainty of the instants on the records' time, s; 0 where they are known. */
  readonly standardInstant: number;
  /** The lamp came from the factory as the first of it arrived: nothing that it was told before is left in it. */
  readonly isFresh: boolean;
}

/** Whether a criterion is about what was sent: it may be long, and is kept only then. */
function isHeldToModel({ criteria }: Condition): boolean {
  return criteria.some(({ metric }) => findMetric(metric)?.needs.model);
}

type StoredPass = NonNullable<ConditionRecord['heard']>[number];

interface PassOf {
  /** When the condition began, s on the bench's clock. */
  readonly zero: number;
  readonly solo: string | null;
  readonly rig: Rig;
  readonly condition: Condition;
  /** Also where no criterion is about it. */
  readonly always?: boolean;
}

/** Null where the bench cannot tell, or nobody asks. */
export function heardPass(
  bench: Pick<OpenBench, 'heard' | 'clock'>,
  { zero, solo, rig, condition, always = false }: PassOf,
  story: Commanded,
): HeardPass | null {
  const told = always || isHeldToModel(condition) ? bench.heard?.() : null;
  if (!told) return null;
  const isVirtual = bench.clock.kind === 'virtual';
  const arrivals = arrivalsOn(rig, told.slowest ?? new Map());
  return {
    solo,
    standardInstant: isVirtual ? 0 : Math.max(standardOf(story), arrivals.standard),
    isFresh: isVirtual,
    heard: told.heard
      .map((event) => ({ ...event, at: event.at + arrivals.later(event.kind) - zero }))
      .toSorted((one, other) => one.at - other.at),
    answered: told.answered.map((answer) => {
      return { ...answer, at: answer.at + arrivals.later(answer.kind) - zero };
    }),
  };
}

interface Arrivals {
  /** How much later than it is told something of a kind shows in the records, s. */
  later(kind: Heard['kind']): number;
  /** Of all of it, s. */
  readonly standard: number;
}

/** As commands are timed: see `effectAt`. */
function arrivalsOn(rig: Rig, slowest: ReadonlyMap<string, number>): Arrivals {
  const delays = new Map<string, number>();
  let standard = 0;
  for (const [link, lasted] of slowest) {
    const confirmed = linkFacts(link)?.streams === false;
    const effect = effectAt(rig, link, { from: 0, lasted, confirmed });
    delays.set(link, effect.at - (confirmed ? lasted / 2 : 0));
    standard = Math.max(standard, effect.standard);
  }
  return { later: (kind) => delays.get(kind.split('-')[0] ?? '') ?? 0, standard };
}

/** A change of the supply was felt at any time from its order to its confirmation. */
function standardOf({ standardInstant = 0, supplyChanges = [] }: Commanded): number {
  return Math.max(
    standardInstant,
    ...supplyChanges.map(({ from, to }) => (to - from) / Math.sqrt(3)),
  );
}

export function storedPass({ heard, answered, ...known }: HeardPass): StoredPass {
  return { ...known, heard: heard.map(stored), answered: answered.map(storedAnswer) };
}

export function passFrom({ heard, ...known }: StoredPass): HeardPass {
  return { ...known, heard: heard.map(restored) };
}

function storedAnswer(answer: Answered): StoredPass['answered'][number] {
  return answer.kind === 'console' ? { ...answer, lines: [...answer.lines] } : answer;
}

function stored(event: Heard): StoredPass['heard'][number] {
  switch (event.kind) {
    case 'console-bytes':
      return { kind: event.kind, at: event.at, bytes: hexOf(event.bytes) };
    case 'dali':
      return { kind: event.kind, at: event.at, frame: hexOf(event.frame) };
    case 'dmx': {
      const { slots, ...frame } = event;
      return { ...frame, slots: hexOf(slots) };
    }
    case 'sacn':
      return { kind: event.kind, at: event.at, datagram: hexOf(event.datagram) };
    default:
      return event;
  }
}

function restored(event: StoredPass['heard'][number]): Heard {
  switch (event.kind) {
    case 'console-bytes':
      return { ...event, bytes: bytesOf(event.bytes) };
    case 'dali':
      return { ...event, frame: bytesOf(event.frame) };
    case 'dmx': {
      const { unframed, slots, ...frame } = event;
      return { ...frame, slots: bytesOf(slots), ...(unframed && { unframed }) };
    }
    case 'sacn':
      return { ...event, datagram: bytesOf(event.datagram) };
    default:
      return event;
  }
}

/** Hexadecimal digits, and how many bytes of 0 follow them: most slots of a universe are dark. */
function hexOf(bytes: readonly number[]): string {
  const last = bytes.findLastIndex((byte) => byte !== 0) + 1;
  const zeros = bytes.length - last;
  const digits = bytes.slice(0, last).map((byte) => byte.toString(16).padStart(2, '0'));
  return digits.join('') + (zeros > 0 ? `+${zeros}` : '');
}

function bytesOf(text: string): readonly number[] {
  const [digits = '', zeros = '0'] = text.split('+');
  const bytes: number[] = [];
  for (let place = 0; place < digits.length; place += 2)
    bytes.push(Number.parseInt(digits.slice(place, place + 2), 16));
  return [...bytes, ...new Array<number>(Number(zeros)).fill(0)];
}
