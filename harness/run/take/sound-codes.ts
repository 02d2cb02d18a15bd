import { BenchError } from '../../bench/errors.ts';
import type { RawCapture, TakenBefore } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { figure } from '../figure.ts';
import { greatestStep } from './code-steps.ts';
import { type NoisyCodes, noisyCodes } from './noisy-codes.ts';
import { repeatedStretch } from './repeated-stretch.ts';
import { stuckStretch } from './stuck-stretch.ts';

/** Beyond its full scale by this part an input is no longer what was calibrated. */
const beyondScale = 1.1;

/**
 * Holds a record's codes against what the rig file says of its input; the record is in the wire's unit and on the condition's
 * time line. Throws BenchError: `overload` for values beyond the full scale; `garbled` where the codes stand still although
 * noise is stated, or move in steps coarser than the bits that are stated; `stale` where a stretch comes twice, or stood in an earlier
 * record of the run.
 * None of these is light: a lamp adds to the noise, and cannot take it away.
 */
export function mustBeSound(raw: RawCapture, wire: Wire, taken?: TakenBefore): void {
  mustFit(raw, wire);
  // A pin has two levels, and what it tells lies in its edges.
  if (wire.signal === 'sync' || wire.signal === 'busy') return;
  const noisy = noisyCodes(raw, wire);
  if (noisy) {
    mustMove(raw, wire, noisy);
    mustNotComeTwice(raw, wire, noisy);
    if (taken) mustNotBeEarlier(raw, wire, noisy, taken);
  }
  mustBeFine(raw, wire);
}

function mustFit(raw: RawCapture, wire: Wire): void {
  const { codes, scale, offset } = raw;
  let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = 0; k < codes.length; k++) {
    const code = codes[k] ?? 0;
    if (code < lowest) lowest = code;
    if (code > highest) highest = code;
  }
  const ends = [lowest, highest].map((code) => code * scale + offset);
  const farthest = ends.reduce((one, two) => (Math.abs(two) > Math.abs(one) ? two : one), 0);
  if (!(Math.abs(farthest) > beyondScale * wire.fullScale)) return;
  throw unsound(
    'overload',
    raw,
    wire,
    `reads ${figure(farthest)} ${wire.unit}; expected no more than the full scale of its wire, ${figure(wire.fullScale)} ${wire.unit}; compare the range that the instrument tells, and the scale and full-scale of the wire`,
  );
}

function mustMove(raw: RawCapture, wire: Wire, noisy: NoisyCodes): void {
  const stuck = stuckStretch(raw.codes, noisy);
  if (!stuck) return;
  throw unsound(
    'garbled',
    raw,
    wire,
    `stands at one value, ${figure(stuck.code * raw.scale + raw.offset)} ${wire.unit}, for ${stuck.length} samples from ${at(raw, stuck.from)}; expected the noise of ${figure(wire.noise)} ${wire.unit} that the rig file states, ${figure(noisy.inSteps)} steps of the converter; the input may be stuck, clipped or not connected; if its noise is smaller than stated, record it with \`rig calibrate dark\``,
  );
}

function mustNotComeTwice(raw: RawCapture, wire: Wire, noisy: NoisyCodes): void {
  const again = repeatedStretch(raw.codes, noisy);
  if (!again) return;
  throw unsound(
    'stale',
    raw,
    wire,
    `has the same ${again.length} samples at ${at(raw, again.first)} and ${at(raw, again.second)}, noise and all; expected each sample once; part of an old record, or of the one before in a ring, may have been handed over again`,
  );
}

function mustNotBeEarlier(
  raw: RawCapture,
  wire: Wire,
  { unlikely }: NoisyCodes,
  taken: TakenBefore,
): void {
  const place = taken.earlierStretch(wire.instrument, raw, unlikely);
  if (place === null) return;
  throw unsound(
    'stale',
    raw,
    wire,
    `has samples from ${at(raw, place)} on that stood in an earlier record of this run, noise and all; expected new ones; the memory may have been overwritten in part only, or another input's record handed over`,
  );
}

/** A converter of a bit less than stated is no coarse one. */
const coarse = 1.5;

function mustBeFine(raw: RawCapture, wire: Wire): void {
  const step = greatestStep(raw.codes);
  const range = raw.highest - raw.lowest;
  if (step < coarse * Math.max(1, range / 2 ** wire.bits)) return;
  throw unsound(
    'garbled',
    raw,
    wire,
    `moves in steps of ${step} codes, as with ${Number(Math.log2(range / step).toPrecision(2))} bits; expected the ${wire.bits} bits that the rig file states, on which the uncertainty rests; see the instrument's resolution, or state the bits that it has`,
  );
}

function unsound(
  kind: 'overload' | 'garbled' | 'stale',
  { input }: RawCapture,
  { instrument }: Wire,
  why: string,
): BenchError {
  return new BenchError(kind, instrument, `the record of input ${input} ${why}`);
}

function at({ start, rate }: RawCapture, index: number): string {
  return `${(start + index / rate).toFixed(4)} s`;
}
