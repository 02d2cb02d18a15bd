import type { Instrument } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, type Kind, plainCall } from './guarantee.ts';
import { longCall } from './long-call.ts';
import { atOnce, expectKind, rejectsWith, resolves, settled } from './settled.ts';

const every: readonly Kind[] = [
  'digitiser',
  'colour-sensor',
  'spectrometer',
  'supply',
  'switch',
  'chamber',
  'thermometer',
  'camera',
  'lamp-link',
];
/** Seconds beyond its deadline that a call may need to say so. */
const grace = 1;
/** Record or integration of a call with a short deadline, s. */
const briefly = 0.3;
/** ms in which a long call gets under way; a simulated one is not over by then. */
const underWay = 3;

/** What every instrument promises. */
export const commonGuarantees: readonly Guarantee[] = [
  {
    guarantee: 'It says who it is, and says the same again',
    kinds: every,
    check: async (instrument, candidate) => {
      const first = await identify(instrument, candidate);
      const second = await identify(instrument, candidate);
      expectThat(first.raw !== '', 'the identity should have text in raw, but it is empty');
      expectThat(
        JSON.stringify(first) === JSON.stringify(second),
        `the identity should stay "${first.raw}", but became "${second.raw}"`,
      );
    },
  },
  {
    guarantee: 'It knows its name, driver and kind',
    kinds: every,
    check: async ({ name, driver, kind }) => {
      expectThat(name !== '' && driver !== '', 'name and driver should not be empty');
      expectThat(every.includes(kind), `kind should be one of ${every.join(', ')}, but is ${kind}`);
    },
  },
  {
    guarantee: 'A call whose signal has aborted rejects with cancelled, at once',
    kinds: every,
    check: async (instrument, candidate) => {
      const call = { ...plainCall(candidate), signal: AbortSignal.abort() };
      await rejectsWith(instrument.identify(call), ['cancelled'], atOnce, 'identify()');
    },
  },
  {
    guarantee:
      'A call that is aborted under way rejects with cancelled, at once, and leaves it usable',
    kinds: every,
    check: async (instrument, candidate) => {
      const abort = new AbortController();
      const call = { signal: abort.signal, deadline: candidate.deadline };
      const { what, under } = longCall(instrument, candidate, call);
      under.catch(() => {});
      await pause();
      abort.abort();
      const outcome = await settled(under, atOnce, `${what}, aborted,`);
      // It may have been done by then.
      if (outcome.how === 'rejected') expectKind(outcome.error, ['cancelled'], what);
      const after = await settled(
        instrument.identify(plainCall(candidate)),
        candidate.deadline + grace,
        'identify() after an abort',
      );
      if (after.how === 'rejected')
        expectKind(after.error, ['closed'], 'identify() after an abort');
    },
  },
  {
    guarantee: 'A call settles within its deadline and the time that it measures',
    kinds: every,
    check: async (instrument, candidate) => {
      const deadline = 0.05;
      const call = { ...plainCall(candidate), deadline };
      const { what, under } = longCall(instrument, candidate, call, briefly);
      const outcome = await settled(under, deadline + briefly + grace, what);
      if (outcome.how === 'rejected') expectKind(outcome.error, ['timeout'], what);
    },
  },
  {
    guarantee: 'close() never rejects, also when called again or twice at once',
    kinds: every,
    check: async (instrument, candidate) => {
      await identify(instrument, candidate);
      const both = Promise.all([instrument.close(), instrument.close()]);
      await resolves(both, candidate.deadline, 'close() twice at once');
      await resolves(instrument.close(), candidate.deadline, 'close() again');
    },
  },
  {
    guarantee: 'After close() every call rejects with closed',
    kinds: every,
    check: async (instrument, candidate) => {
      await resolves(instrument.close(), candidate.deadline, 'close()');
      await rejectsWith(
        instrument.identify(plainCall(candidate)),
        ['closed'],
        atOnce,
        'identify()',
      );
      const { what, under } = longCall(instrument, candidate, plainCall(candidate));
      await rejectsWith(under, ['closed'], atOnce, what);
    },
  },
  {
    guarantee: 'close() ends work in flight with closed',
    kinds: every,
    check: async (instrument, candidate) => {
      const { what, under } = longCall(instrument, candidate, plainCall(candidate));
      under.catch(() => {});
      await pause();
      await resolves(instrument.close(), candidate.deadline, 'close()');
      const outcome = await settled(under, atOnce, `${what} when close() came`);
      if (outcome.how === 'rejected') expectKind(outcome.error, ['closed'], what);
    },
  },
];

function identify(instrument: Instrument, candidate: Candidate) {
  return resolves(
    instrument.identify(plainCall(candidate)),
    candidate.deadline + grace,
    'identify()',
  );
}

function pause(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, underWay));
}
