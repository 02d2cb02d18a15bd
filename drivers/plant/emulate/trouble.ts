import { didYouMean } from '../../../harness/files/did-you-mean.ts';
import { parseQuantity } from '../../../harness/units/parse-quantity.ts';

/** Every kind of trouble, in words: what happens to the answer. */
export const troubleKinds = {
  silence: 'no answer comes',
  late: 'the answer comes late (=3 s unless told otherwise)',
  'held-up':
    'the message arrives late, and so does its answer (SCPI and console; =30 ms unless told otherwise)',
  garbage: 'the answer is random bytes',
  half: 'half of the answer comes, and nothing more',
  identity: 'another instrument answers *IDN?, or the lamp is another one',
  reboot: 'it restarts: error -500, settings lost, output off',
  reset: 'the connection is reset',
  vanish: 'the port is gone, for good',
  drip: 'the answer comes byte by byte (=100 ms apart unless told otherwise)',
  overload: 'the record is clipped (digitiser)',
  saturated: 'the reading is saturated (colour sensor)',
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
  twin: 'another gear with the same short address answers as well, and the bridge sees it (DALI)',
  'twin-unseen': 'another gear answers as well, and the bridge takes both for one frame (DALI)',
  cut: 'the wire between bridge and lamp is cut (DALI)',
  apart: 'frames that go twice are far apart (DALI; =130 ms unless told otherwise)',
  trip: 'the output trips, after=1 s unless told otherwise (supply)',
  hiccup: 'the output is gone for a moment (=1 ms unless told otherwise), after=1 s (supply)',
  sag: 'the output sags in current limit (=0.5 s unless told otherwise), after=1 s (supply)',
} as const;

export type TroubleKind = keyof typeof troubleKinds;

export interface Trouble {
  readonly kind: TroubleKind;
  /** Instrument that it strikes; null: every one. */
  readonly on: string | null;
  /** Strikes from this answer on, counted from 1 per instrument. */
  readonly from: number;
  readonly once: boolean;
  /** s, of the kinds that take a time. */
  readonly seconds: number;
  /** s from the switching on of an output to the trouble; of `trip`, `hiccup` and `sag`. */
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
};

/** Troubles of an output that is on, and when they come unless told otherwise, s. */
export const outputTroubles: readonly TroubleKind[] = ['trip', 'hiccup', 'sag'];
export const usualAfter = 1;

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
    } else if (key === 'on' && instruments.includes(value)) trouble = { ...trouble, on: value };
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
