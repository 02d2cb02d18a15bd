import { didYouMean } from '../../../harness/files/did-you-mean.ts';
import { parseQuantity } from '../../../harness/units/parse-quantity.ts';

/** Every kind of trouble, in words: what happens to the answer. */
export const troubleKinds = {
  silence: 'no answer comes',
  late: 'the answer comes late (=3 s unless told otherwise)',
  'held-up':
    'the message arrives late, and so does its answer (SCPI and console; =30 ms unless told otherwise)',
  behind: 'each question gets the answer of the one before',
  garbage: 'the answer is random bytes',
  half: 'half of the answer comes, and nothing more',
  identity: 'another instrument answers *IDN?, or the lamp is another one',
  reboot: 'it restarts: error -500, settings lost, output off',
  reset: 'the connection is reset',
  vanish: 'the port is gone, for good',
  drip: 'the answer comes byte by byte (=100 ms apart unless told otherwise)',
  overload: 'the record is clipped (digitiser)',
  stuck: 'the converter stops within the record (digitiser)',
  ring: 'a few samples come round and round within the record (digitiser)',
  'flat-top': 'an amplifier ahead of the converter is cut flat, and no flag tells (digitiser)',
  gaps: 'zeros stand in for 5 ms that were lost (digitiser)',
  coarse: 'the last ten bits of the converter are dead (digitiser)',
  'noise-only': 'the sensors are not plugged in, noise is left (digitiser)',
  'ac-coupled': 'a capacitor in the cable keeps what is steady away (digitiser)',
  'fast-clock': 'it samples 6 % faster than it says (digitiser)',
  'fast-clock-held': 'the same, and it says that it is done when that would be right (digitiser)',
  hum: '100 Hz are added, a hundredth of the range (digitiser)',
  'clips-some': 'one sample in 5000 is at the top of the range (digitiser)',
  unplugged: 'the inputs read 0 without noise (digitiser)',
  'thousand-fold': 'the scale of the record is told a thousand times too large (digitiser)',
  fifth: 'the inputs read a fifth of what is there (digitiser)',
  drifted: 'the inputs read 3 % less than is there (digitiser)',
  shifted: 'the inputs read 0.15 V too little (digitiser)',
  swapped: 'the two bytes of each code have changed places (digitiser)',
  'stuck-bit': 'bit 6 of the converter is always 1 (digitiser)',
  frozen: 'the reading before is handed over again and again (colour sensor)',
  dead: 'the reading is 0,0,0, and said to be good (colour sensor)',
  saturated: 'the reading is saturated (colour sensor)',
  ambient: '15 lx of other light reach the head (colour sensor)',
  'filter-dead': 'nothing comes through its Z filter (colour sensor)',
  'trigger-late':
    'the record begins late, and its status says so (digitiser; =100 ms unless told otherwise)',
  'trigger-hidden':
    'the record begins late, but its status says that it runs (digitiser; =100 ms unless told otherwise)',
  replay: 'the old record is handed over again, and not counted (digitiser)',
  'replay-counted': 'the old record is handed over again, counted as a new one (digitiser)',
  'replay-at-once': 'the old record is said to be complete as soon as it is armed (digitiser)',
  'hand-over':
    'the samples of each input take their time (digitiser; =500 ms unless told otherwise)',
  ranging: 'it finds its range before it integrates (colour sensor; =500 ms unless told otherwise)',
  'lost-digit': 'a digit of each command is lost on its way to the lamp (console)',
  capitals: 'answers come in capitals (console)',
  twin: 'another gear with the same short address answers as well, and the bridge sees it (DALI)',
  'twin-unseen': 'another gear answers as well, and the bridge takes both for one frame (DALI)',
  'lost-frames': 'one frame in twenty is lost on the bus (DALI)',
  'garbled-frames': 'one backward frame in twenty is garbled (DALI)',
  'answers-made-up': 'the bridge reports an answer of 0xff where nobody answered (DALI)',
  'turned-answers': 'bit 4 of each backward frame is turned (DALI)',
  cut: 'the wire between bridge and lamp is cut (DALI)',
  apart: 'frames that go twice are far apart (DALI; =130 ms unless told otherwise)',
  trip: 'the output trips, after=1 s unless told otherwise (supply)',
  hiccup: 'the output is gone for a moment (=1 ms unless told otherwise), after=1 s (supply)',
  sag: 'the output sags in current limit (=0.5 s unless told otherwise), after=1 s (supply)',
  'gap-hidden':
    'the output is gone for a while (=0.5 s unless told otherwise), after=1 s, and it reads as before (supply)',
  'volts-ignored': 'a voltage is confirmed and read back, but the output keeps its own (supply)',
  'other-volts': 'the output gives 12 % less than it was set to, and reads it (supply)',
  'slow-rise':
    'the output takes its time to rise when it is switched on, and reads it (supply; =2 s unless told otherwise)',
  'stays-on': 'the output does not go off, but it says that it did (supply)',
  'stays-on-unread': 'the same, and it reads 0 V and 0 A (supply)',
  'off-late':
    'the output goes off late (=0.6 s unless told otherwise), but it says so at once (supply)',
  welded: 'the contacts stay closed, but it says that they are open (switch)',
  'contact-lost': 'the contacts stay open, but it says that they are closed (switch)',
  'door-open': 'the lamp stands in the air of the room, and the sensor does not know it (chamber)',
  'door-alarm': 'it says that its door is open (chamber)',
  'air-stuck': 'the air stays as it is (chamber)',
  'air-overshoot': 'the air goes 6 K beyond the set point first (chamber)',
  'air-leaves': 'the air goes 6 K away from the set point while the lamp is on (chamber)',
} as const;

export type TroubleKind = keyof typeof troubleKinds;

export interface Trouble {
  readonly kind: TroubleKind;
  /** Instrument that it strikes; null: every one. */
  readonly on: string | null;
  /** Input of a digitiser that it strikes; absent: every one. */
  readonly input?: string;
  /** Strikes from this answer on, counted from 1 per instrument. */
  readonly from: number;
  readonly once: boolean;
  /** s, of the kinds that take a time. */
  readonly seconds: number;
  /** s from the switching on of an output to the trouble; of those of `outputTroubles`. */
  readonly after?: number;
}

const usualSeconds: Partial<Record<TroubleKind, number>> = {
  late: 3,
  drip: 0.1,
  'held-up': 0.03,
  'trigger-late': 0.1,
  'trigger-hidden': 0.1,
  'hand-over': 0.5,
  ranging: 0.5,
  apart: 0.13,
  hiccup: 1e-3,
  sag: 0.5,
  'gap-hidden': 0.5,
  'off-late': 0.6,
  'slow-rise': 2,
};

/** Troubles of an output that is on, and when they come unless told otherwise, s. */
export const outputTroubles: readonly TroubleKind[] = ['trip', 'hiccup', 'sag', 'gap-hidden'];
/** Troubles of an output that is to go off. */
export const offTroubles: readonly TroubleKind[] = ['stays-on', 'stays-on-unread', 'off-late'];
export const usualAfter = 1;
/** Troubles that may strike one input of a digitiser alone. */
const inputTroubles: ReadonlySet<TroubleKind> = new Set([
  ...(['stuck', 'ring', 'flat-top', 'gaps', 'coarse', 'unplugged', 'hum', 'noise-only'] as const),
  ...(['ac-coupled', 'clips-some', 'thousand-fold'] as const),
  ...(['fifth', 'drifted', 'shifted', 'swapped', 'stuck-bit'] as const),
]);

/** Reads `late=8s,on=supply,from=5,once`; a sentence where it cannot. */
export function readTrouble(
  text: string,
  instruments: readonly string[],
): Trouble | { readonly problem: string } {
  const [head = '', ...rest] = text.split(',').map((part) => part.trim());
  const [kind = '', amount] = head.split('=');
  if (!(kind in troubleKinds)) {
    const kinds = Object.keys(troubleKinds);
    return {
      problem: `no such trouble: "${kind}"${didYouMean(kind, kinds) || `; there are: ${kinds.join(', ')}`}`,
    };
  }
  const usual = usualSeconds[kind as TroubleKind];
  if (amount !== undefined && usual === undefined)
    return { problem: `${kind} takes no value, found "=${amount}"` };
  const seconds = amount === undefined ? (usual ?? 0) : secondsOf(amount);
  if (seconds === null) return { problem: `expected a time after ${kind}=, found "${amount}"` };
  let trouble: Trouble = { kind: kind as TroubleKind, on: null, from: 1, once: false, seconds };
  for (const part of rest) {
    const [key = '', value = ''] = part.split('=');
    if (part === 'once') trouble = { ...trouble, once: true };
    else if (key === 'from' && /^[1-9]\d{0,6}$/.test(value))
      trouble = { ...trouble, from: Number(value) };
    else if (key === 'after' && outputTroubles.includes(trouble.kind)) {
      const after = secondsOf(value);
      if (after === null) return { problem: `expected a time after after=, found "${value}"` };
      trouble = { ...trouble, after };
    } else if (key === 'input' && inputTroubles.has(trouble.kind) && value !== '')
      trouble = { ...trouble, input: value };
    else if (key === 'on' && instruments.includes(value)) trouble = { ...trouble, on: value };
    else if (key === 'on')
      return {
        problem: `no instrument "${value}"${didYouMean(value, instruments) || `; there are: ${instruments.join(', ')}`}`,
      };
    else
      return {
        problem: `expected on=INSTRUMENT, from=NUMBER${afterKey(trouble.kind)} or once after ${kind}, found "${part}"`,
      };
  }
  return trouble;
}

function afterKey(kind: TroubleKind): string {
  if (inputTroubles.has(kind)) return ', input=INPUT';
  return outputTroubles.includes(kind) ? ', after=TIME' : '';
}

function secondsOf(text: string): number | null {
  const parsed = parseQuantity(text);
  if (!parsed.ok || parsed.quantity.dimension !== 'time') return null;
  return parsed.quantity.value >= 0 && parsed.quantity.value <= 3600 ? parsed.quantity.value : null;
}

/** Counts answers and says which of them are in trouble. The list can be changed while the bench runs. */
export class Troubles {
  #list: { readonly trouble: Trouble; readonly counts: Map<string, number> }[] = [];

  constructor(list: readonly Trouble[] = []) {
    this.set(list);
  }

  /** Replaces the list; counting begins anew. */
  set(list: readonly Trouble[]): void {
    this.#list = list.map((trouble) => ({ trouble, counts: new Map() }));
  }

  /** One answer of `instrument` that troubles of these kinds may strike; the first that does. */
  strike(instrument: string, kinds: readonly TroubleKind[]): Trouble | null {
    let struck: Trouble | null = null;
    for (const { trouble, counts } of this.#list) {
      const { kind, on, from, once } = trouble;
      if (!kinds.includes(kind) || (on !== null && on !== instrument)) continue;
      const count = (counts.get(instrument) ?? 0) + 1;
      counts.set(instrument, count);
      if (once ? count === from : count >= from) struck ??= trouble;
    }
    return struck;
  }
}
