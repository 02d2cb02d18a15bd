import type { Digitiser, RawCapture } from '../../harness/bench/ports.ts';
import { expectThat, type Guarantee, plainCall, type Subject, Unproven } from './guarantee.ts';
import { recordOf } from './long-call.ts';
import { rejectsWith, resolves } from './settled.ts';

/** Relative difference of rates that rounding of an instrument's own clock may make. */
const sameRate = 0.01;

export const digitiserGuarantees: readonly Guarantee<'digitiser'>[] = [
  {
    guarantee:
      'A record has every input that was asked for, whole, at the rate and length asked for',
    kinds: ['digitiser'],
    check: async (digitiser, subject) => {
      const inputs = digitiser.capabilities.inputs.slice(0, 2);
      const captures = await take(digitiser, inputs, subject);
      const found = captures.map(({ input }) => input).sort();
      expectThat(
        found.join() === [...inputs].sort().join(),
        `inputs ${inputs.join(', ')} were asked for, but ${found.join(', ') || 'none'} came`,
      );
      for (const capture of captures) checkCapture(capture, digitiser, subject);
    },
  },
  {
    guarantee: 'It records again after a record',
    kinds: ['digitiser'],
    check: async (digitiser, subject) => {
      const inputs = digitiser.capabilities.inputs.slice(0, 1);
      await take(digitiser, inputs, subject);
      const again = await take(digitiser, inputs, subject);
      expectThat(again.length === 1, `one input was asked for, but ${again.length} came`);
    },
  },
  {
    guarantee: 'A rate beyond its highest is unsupported',
    kinds: ['digitiser'],
    check: async (digitiser, subject) => {
      const { inputs, highestRate } = digitiser.capabilities;
      if (!Number.isFinite(highestRate)) throw new Unproven('it states no highest rate');
      const setup = { inputs: [{ input: inputs[0]! }], rate: highestRate * 10, duration: 0.01 };
      const arm = digitiser.arm(setup, plainCall(subject));
      await rejectsWith(arm, ['unsupported'], subject.deadline, 'arm() beyond the highest rate');
    },
  },
  {
    guarantee: 'An input that it does not have is unsupported',
    kinds: ['digitiser'],
    check: async (digitiser, subject) => {
      const { rate, duration } = recordOf(digitiser, subject);
      const setup = { inputs: [{ input: 'no such input' }], rate, duration };
      const arm = digitiser.arm(setup, plainCall(subject));
      await rejectsWith(arm, ['unsupported'], subject.deadline, 'arm() on an unknown input');
    },
  },
];

async function take(
  digitiser: Digitiser,
  inputs: readonly string[],
  subject: Subject,
): Promise<readonly RawCapture[]> {
  const setup = { inputs: inputs.map((input) => ({ input })), ...recordOf(digitiser, subject) };
  const { deadline } = subject;
  const acquisition = await resolves(digitiser.arm(setup, plainCall(subject)), deadline, 'arm()');
  return resolves(acquisition.finished, deadline + setup.duration, 'the record');
}

function checkCapture(capture: RawCapture, digitiser: Digitiser, subject: Subject): void {
  const { rate, duration } = recordOf(digitiser, subject);
  const { input, codes, lowest, highest, scale } = capture;
  expectThat(
    Math.abs(capture.rate / rate - 1) <= sameRate,
    `input ${input}: ${rate} S/s were asked for, but ${capture.rate} S/s came`,
  );
  const wanted = duration * capture.rate;
  expectThat(
    Math.abs(codes.length - wanted) <= 1,
    `input ${input}: ${wanted} samples were asked for, but ${codes.length} came`,
  );
  expectThat(scale !== 0 && Number.isFinite(scale), `input ${input}: scale is ${scale}`);
  const outside = codes.findIndex((code) => !(code >= lowest && code <= highest));
  expectThat(
    outside < 0,
    `input ${input}: code ${codes[outside]} of sample ${outside} is outside ${lowest} to ${highest}`,
  );
}
