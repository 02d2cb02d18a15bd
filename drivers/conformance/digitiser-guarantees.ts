import type { Digitiser, RawCapture } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall, Unproven } from './guarantee.ts';
import { usualRecord } from './long-call.ts';
import { rejectsWith, resolves } from './settled.ts';

/** Relative difference of rates that rounding of an instrument's own clock may make. */
const sameRate = 0.01;

export const digitiserGuarantees: readonly Guarantee<'digitiser'>[] = [
  {
    guarantee:
      'A record has every input that was asked for, whole, at the rate and length asked for',
    kinds: ['digitiser'],
    check: async (digitiser, candidate) => {
      const inputs = digitiser.capabilities.inputs.slice(0, 2);
      const captures = await take(digitiser, inputs, candidate);
      const found = captures.map(({ input }) => input).sort();
      expectThat(
        found.join() === [...inputs].sort().join(),
        `it sent records of ${found.join(', ') || 'no input'}; expected ${inputs.join(', ')}`,
      );
      for (const capture of captures) checkCapture(capture, digitiser, candidate);
    },
  },
  {
    guarantee: 'It records again after a record, and hands over the new one',
    kinds: ['digitiser'],
    check: async (digitiser, candidate) => {
      const inputs = digitiser.capabilities.inputs.slice(0, 1);
      const [first] = await take(digitiser, inputs, candidate);
      const [again] = await take(digitiser, inputs, candidate);
      expectThat(first !== undefined && again !== undefined, 'it sent no record; expected one');
      if (digitiser.capabilities.stored) return;
      expectThat(
        !isTheSame(first.codes, again.codes),
        'its second record is the same as its first, code by code; expected a new one: noise never comes twice',
      );
    },
  },
  {
    guarantee: 'A record is handed over no sooner than it can have lasted',
    kinds: ['digitiser'],
    check: async (digitiser, candidate) => {
      if (digitiser.capabilities.stored) throw new Unproven('its records were taken before');
      if (candidate.virtual) throw new Unproven('its clock is none that passes by itself');
      const { duration } = usualRecord(digitiser, candidate);
      const inputs = digitiser.capabilities.inputs.slice(0, 1);
      const before = performance.now();
      await take(digitiser, inputs, candidate);
      const took = (performance.now() - before) / 1000;
      expectThat(
        took >= duration - clockStep,
        `a record of ${duration} s was there after ${took.toFixed(3)} s; expected a new one, which takes its time`,
      );
    },
  },
  {
    guarantee: 'A rate beyond its highest is unsupported',
    kinds: ['digitiser'],
    check: async (digitiser, candidate) => {
      const { inputs, highestRate } = digitiser.capabilities;
      if (!Number.isFinite(highestRate)) throw new Unproven('it states no highest rate');
      const [input] = inputs;
      if (input === undefined) throw new Unproven('it has no input');
      const setup = { inputs: [{ input }], rate: highestRate * 10, duration: 0.01 };
      const arm = digitiser.arm(setup, plainCall(candidate));
      await rejectsWith(arm, ['unsupported'], candidate.deadline, 'arm() beyond the highest rate');
    },
  },
  {
    guarantee: 'An input that it does not have is unsupported',
    kinds: ['digitiser'],
    check: async (digitiser, candidate) => {
      const { rate, duration } = usualRecord(digitiser, candidate);
      const setup = { inputs: [{ input: 'no such input' }], rate, duration };
      const arm = digitiser.arm(setup, plainCall(candidate));
      await rejectsWith(arm, ['unsupported'], candidate.deadline, 'arm() on an unknown input');
    },
  },
];

/** A computer's clock and an instrument's may differ by this, s. */
const clockStep = 2e-3;
/** A record with fewer changes from sample to sample may be the same twice. */
const fewestChanges = 8;

function isTheSame(one: RawCapture['codes'], other: RawCapture['codes']): boolean {
  if (one.length !== other.length) return false;
  let changes = 0;
  for (let k = 0; k < one.length; k++) {
    if (one[k] !== other[k]) return false;
    if (k > 0 && one[k] !== one[k - 1]) changes++;
  }
  return changes >= fewestChanges;
}

async function take(
  digitiser: Digitiser,
  inputs: readonly string[],
  candidate: Candidate,
): Promise<readonly RawCapture[]> {
  const setup = {
    inputs: inputs.map((input) => ({ input })),
    ...usualRecord(digitiser, candidate),
  };
  const { deadline } = candidate;
  const acquisition = await resolves(digitiser.arm(setup, plainCall(candidate)), deadline, 'arm()');
  return resolves(acquisition.finished, deadline + setup.duration, 'the record');
}

function checkCapture(capture: RawCapture, digitiser: Digitiser, candidate: Candidate): void {
  const { rate, duration } = usualRecord(digitiser, candidate);
  const { input, codes, lowest, highest, scale } = capture;
  expectThat(
    Math.abs(capture.rate / rate - 1) <= sameRate,
    `input ${input} was recorded at ${capture.rate} S/s; expected ${rate} S/s`,
  );
  const wanted = duration * capture.rate;
  expectThat(
    Math.abs(codes.length - wanted) <= 1,
    `input ${input} has ${codes.length} samples; expected ${wanted}`,
  );
  expectThat(scale !== 0 && Number.isFinite(scale), `input ${input}: scale is ${scale}`);
  const outside = codes.findIndex((code) => !(code >= lowest && code <= highest));
  expectThat(
    outside < 0,
    `input ${input}: code ${codes[outside]} of sample ${outside} is outside ${lowest} to ${highest}`,
  );
}
