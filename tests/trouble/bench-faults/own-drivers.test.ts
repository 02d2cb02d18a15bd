import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { makeRigSafe } from '../../../harness/workflow/rig/rig-safe.ts';
import { evenfall } from '../../cli/program.ts';
import { dimmingSpec } from '../../cli/small-specs.ts';
import { emulatedRig, lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';
import { benchDesk, conditionsOf, newestRecord } from './emulated-runs.ts';
import { runOne } from './run-claim.ts';

const folder = mkdtempSync(join(tmpdir(), 'evenfall-own-'));
afterAll(() => rmSync(folder, { recursive: true }));

/**
 * A digitiser as a user would write it, without a class of ours: it misbehaves in `arm`, in the record, or at its end, as
 * its settings say.
 */
writeFileSync(
  join(folder, 'head.mjs'),
  `const never = new Promise(() => {});
const record = ({ inputs, rate, duration }, start) => inputs.map(({ input }) => ({
  input, codes: Int16Array.from({ length: Math.round(rate * duration) }, (_, k) => 100 + (k % 7)),
  scale: 1e-4, offset: 0, unit: 'V', lowest: -32768, highest: 32767, rate, start, standardStart: 1e-4,
}));
class HeadError extends Error { name = 'BenchError'; kind = 'overload'; }
const act = {
  'throws a text': () => { throw 'the head is off'; },
  'throws undefined': () => { throw undefined; },
  'throws a plain Error': () => { throw new Error('the head is off'); },
  'throws an object': () => { throw { code: 7 }; },
  'throws an error with a kind': () => { throw new HeadError('too bright'); },
  'cancels by itself': () => { throw { kind: 'cancelled', message: 'I had enough' }; },
  'rejects later': () => new Promise((_, no) => setTimeout(() => no('late'), 20)),
  'never settles': () => never,
  'gives undefined': () => undefined,
  'gives a text': () => 'done',
};
const wrong = {
  'gives no list': () => ({}),
  'gives an empty list': () => [],
  'gives plain numbers for codes': (good) => good.map((each) => ({ ...each, codes: [...each.codes] })),
  'gives NaN in the codes': (good) => good.map((each) => ({ ...each, codes: Float32Array.of(0, NaN, 1) })),
  'gives NaN for a rate': (good) => good.map((each) => ({ ...each, rate: NaN })),
  'gives a rate as text': (good) => good.map((each) => ({ ...each, rate: '10000' })),
  'gives undefined for a start': (good) => good.map(({ start, ...each }) => each),
  'gives a scale of 0': (good) => good.map((each) => ({ ...each, scale: 0 })),
};
export function open(instrument, { clock, rig }) {
  const { how, where } = instrument.settings;
  if (where === 'open') return act[how]();
  const identity = { maker: 'Own', model: 'Head', serial: '7', firmware: '1' };
  return {
    kind: 'digitiser', driver: 'mine', name: 'something else',
    capabilities: { inputs: rig.wiring.filter((each) => each.instrument === instrument.name).map(({ input }) => input),
      highestRate: 1e6, longestRecord: 1e7, bits: 16, acquisition: 'integrating', oneRecord: false },
    async identify() { return where === 'identify' ? act[how]() : identity; },
    arm(setup) {
      if (where === 'arm') return act[how]();
      const started = clock.now();
      const good = () => record(setup, started);
      const finished = new Promise((done) => setTimeout(done, setup.duration * 1000)).then(() =>
        where === 'record' ? (wrong[how] ?? act[how])(good()) : good());
      if (where === 'stray') setTimeout(() => { throw new Error('nobody waits for this'); }, 10);
      return Promise.resolve({ started: where === 'started' ? NaN : started, finished });
    },
    close() { if (where === 'close') return act[how](); return Promise.resolve(); },
  };
}
`,
);

const text = dimmingSpec('dims', ['60 %']);

/** The emulated bench with this digitiser. */
function headThat(where: string, how: string) {
  return (rig: Rig): Rig => ({
    ...rig,
    instruments: rig.instruments.map((each) =>
      each.name === 'digitiser'
        ? {
            ...each,
            driver: join(folder, 'head.mjs'),
            identity: {},
            settings: { where, how },
            deadline: 1,
            retries: 0,
          }
        : each,
    ),
  });
}

const throwing = [
  ['throws a text', /digitiser: its driver failed in arm\(\): the head is off/],
  ['throws undefined', /its driver failed in arm\(\): it threw undefined/],
  ['throws a plain Error', /its driver failed in arm\(\): the head is off/],
  ['throws an object', /its driver failed in arm\(\): \{"code":7\}/],
  ['throws an error with a kind', /digitiser: too bright/],
  ['cancels by itself', /its driver failed in arm\(\): I had enough/],
  ['rejects later', /its driver failed in arm\(\): late/],
  ['never settles', /its driver did not come back from arm\(\) within/],
  ['gives undefined', /its driver answered arm\(\) with undefined/],
  ['gives a text', /its driver answered arm\(\) with done/],
] as const;

describe.concurrent('a digitiser of the user’s own that, asked for a record,', () => {
  it.each(throwing)('%s: a bench error with its name', async (how, words) => {
    const { verdict, reason } = await runOne(text, { change: headThat('arm', how) });
    expect([verdict, reason]).toEqual(['error', expect.stringMatching(words)]);
    expect(reason).toMatch(/^digitiser: /);
  });
});

const spoilt = [
  ['gives no list', /expected a list of records/],
  ['gives an empty list', /expected at least one record/],
  ['gives plain numbers for codes', /a wrong 0\.codes: expected an Int16Array/],
  ['gives NaN in the codes', /sample 1 of input \d+ is no number/],
  ['gives NaN for a rate', /a wrong 0\.rate/],
  ['gives a rate as text', /a wrong 0\.rate/],
  ['gives undefined for a start', /a wrong 0\.start/],
  ['gives a scale of 0', /a scale other than 0/],
  ['throws a text', /failed in the record: the head is off/],
  ['gives undefined', /answered the record with undefined/],
  ['never settles', /did not come back from the record within/],
] as const;

describe.concurrent('a digitiser of the user’s own whose record', () => {
  it.each(spoilt)('%s: a bench error with its name', async (how, words) => {
    const { verdict, reason } = await runOne(text, { change: headThat('record', how) });
    expect([verdict, reason]).toEqual(['error', expect.stringMatching(words)]);
    expect(reason).toMatch(/^digitiser: /);
  });

  it('began at NaN: a bench error with its name', async () => {
    const { verdict, reason } = await runOne(text, { change: headThat('started', '') });
    expect([verdict, reason]).toEqual(['error', expect.stringMatching(/a wrong started/)]);
  });
});

it('that throws where no call waits for it ends the run with a bench error, not with 1 or 70', async () => {
  const emulation = await openTestEmulation();
  try {
    const { cwd, env, args } = benchDesk(emulation, {
      change: (rig) =>
        rig.replace(
          /\n {2}digitiser:\n(?: {4}.*\n)+/,
          `\n  digitiser:\n    driver: ${join(folder, 'head.mjs')}\n    where: stray\n    how: x\n`,
        ),
    });
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(exitCode, stderr).toBe(3);
    const record = newestRecord(cwd);
    expect(record).toMatchObject({ ended: 'failed', safeState: { confirmed: true } });
    const reasons = conditionsOf(record).map(({ verdict, reason }) => `${verdict}: ${reason}`);
    expect(reasons[0]).toMatch(/^error: an error that no call was waiting for.*nobody waits for/);
  } finally {
    await emulation.close();
  }
});

it('that hangs where it is opened does not keep a rig from being made safe', async () => {
  const emulation = await openTestEmulation();
  try {
    const rig = headThat('open', 'never settles')(rigFor(emulation));
    await emulation.live.setSource(48);
    await emulation.live.setPower(true);
    const began = performance.now();
    const outcome = await makeRigSafe({ rig, lamp, folder: resolve('specs/rigs') });
    expect(outcome).toMatchObject({
      confirmed: true,
      detail: expect.stringMatching(/digitiser: /),
    });
    expect(emulation.live.on).toBe(false);
    expect(performance.now() - began).toBeLessThan(6000);
  } finally {
    await emulation.close();
  }
});

describe('opening a rig with a driver of the user’s own', () => {
  const rigThat = (where: string, how: string): Rig => {
    const all = headThat(where, how)(emulatedRig);
    return { ...all, instruments: all.instruments.filter(({ name }) => name === 'digitiser') };
  };

  it.each([
    ['open', 'never settles', 'timeout', /did not come back from open/],
    ['open', 'throws undefined', 'closed', /failed in open: it threw undefined/],
    ['open', 'gives undefined', 'unsupported', /opened something of kind undefined/],
    ['open', 'gives a text', 'unsupported', /opened something of kind undefined/],
    ['identify', 'never settles', 'timeout', /did not come back from identify/],
    ['identify', 'gives undefined', 'garbled', /answered identify\(\) with undefined/],
    ['identify', 'throws a text', 'closed', /failed in identify\(\): the head is off/],
  ] as const)('that in %s %s: a bench error', async (where, how, kind, words) => {
    const opening = openRig({ rig: rigThat(where, how), lamp, folder });
    await expect(opening).rejects.toMatchObject({ kind, instrument: 'digitiser' });
    await expect(opening).rejects.toThrow(words);
  });

  it.each([
    'never settles',
    'throws a text',
    'throws undefined',
    'rejects later',
    'gives undefined',
  ])('that in close() %s: it is closed all the same', async (how) => {
    const bench = await openRig({ rig: rigThat('close', how), lamp, folder });
    expect(bench.instruments.get('digitiser')?.name).toBe('digitiser');
    const began = performance.now();
    await bench.close();
    expect(performance.now() - began).toBeLessThan(3000);
  });
});
