import { describe, expect, it } from 'vitest';
import { conformance } from '../../../drivers/conformance/conformance.ts';
import { BenchError } from '../../../harness/bench/errors.ts';
import type { Call, Digitiser, Supply } from '../../../harness/bench/ports.ts';
import { lamp } from './shipped-bench.ts';

/** A supply in memory that keeps every promise, but for what `flaws` replace. */
function supply(flaws: (good: Supply) => Partial<Supply>): Supply {
  let closed = false;
  let volts = 0;
  let on = false;
  const open = ({ signal }: Call): void => {
    if (closed) throw new BenchError('closed', 'supply', 'closed');
    if (signal.aborted) throw new BenchError('cancelled', 'supply', 'cancelled');
  };
  const good: Supply = {
    kind: 'supply',
    name: 'supply',
    driver: 'memory',
    identify: async (call) => {
      open(call);
      return { maker: 'a', model: 'b', serial: 'c', firmware: 'd', raw: 'a,b,c,d' };
    },
    set: async (setup, call) => {
      open(call);
      if (setup.volts > 60) throw new BenchError('refused', 'supply', 'too much');
      volts = setup.volts;
    },
    output: async (wanted, call) => {
      open(call);
      on = wanted;
    },
    read: async (call) => {
      open(call);
      return { volts: on ? volts : 0, amps: 0, on };
    },
    close: async () => {
      closed = true;
    },
  };
  return { ...good, ...flaws(good) };
}

async function brokenPromises(flaws: (good: Supply) => Partial<Supply>): Promise<string[]> {
  const broken: string[] = [];
  const open = async () => supply(flaws);
  const candidate = { lamp, open, deadline: 1, highestVolts: 60 };
  for await (const { guarantee, outcome } of conformance('supply', candidate))
    if (outcome !== 'kept') broken.push(guarantee);
  return broken;
}

describe('the conformance suite', () => {
  it('finds nothing in a supply that keeps its promises', async () => {
    expect(await brokenPromises(() => ({}))).toEqual([]);
  });

  it('knows a bench error by its kind, whatever its class', async () => {
    const refusing = (good: Supply): Partial<Supply> => ({
      set: (setup, call) =>
        setup.volts > 60
          ? Promise.reject({ kind: 'refused', message: 'too much' })
          : good.set(setup, call),
    });
    expect(await brokenPromises(refusing)).toEqual([]);
  });

  it.each<readonly [string, RegExp, (good: Supply) => Partial<Supply>]>([
    ['a close() that leaves it open', /After close/, () => ({ close: async () => {} })],
    [
      'a close() that rejects',
      /close\(\) never rejects/,
      () => ({ close: () => Promise.reject(new Error('no')) }),
    ],
    [
      'errors that are no BenchErrors',
      /refused/,
      (good) => ({
        set: (setup, call) =>
          setup.volts > 60 ? Promise.reject(new Error('no')) : good.set(setup, call),
      }),
    ],
    [
      'a limit that is not kept',
      /refused/,
      (good) => ({ set: ({ volts }, call) => good.set({ volts: Math.min(60, volts) }, call) }),
    ],
    [
      'an output that stays on',
      /reads back/,
      (good) => ({ output: (_, call) => good.output(true, call) }),
    ],
    [
      'a call that never settles',
      /settles within its deadline/,
      () => ({ read: () => new Promise(() => {}) }),
    ],
    [
      'a signal that is not heeded',
      /has aborted/,
      (good) => ({
        identify: (call) => good.identify({ ...call, signal: new AbortController().signal }),
      }),
    ],
    [
      'an identity that changes',
      /the same again/,
      (good) => ({
        identify: async (call) => ({
          ...(await good.identify(call)),
          raw: String(performance.now()),
        }),
      }),
    ],
  ])('finds %s', { timeout: 30_000 }, async (_, promise, flaws) => {
    expect(await brokenPromises(flaws)).toContainEqual(expect.stringMatching(promise));
  });
});

/** A digitiser in memory that takes its time; `second` is what it hands over after the first record. */
function digitiser(second: 'new' | 'the first again' | 'the first again, at once'): Digitiser {
  let closed = false;
  let records = 0;
  const inputs = ['a'];
  const open = ({ signal }: Call): void => {
    if (closed) throw new BenchError('closed', 'it', 'closed');
    if (signal.aborted) throw new BenchError('cancelled', 'it', 'cancelled');
  };
  return {
    kind: 'digitiser',
    name: 'it',
    driver: 'memory',
    capabilities: {
      ...{ inputs, highestRate: 1e6, longestRecord: 1e6, bits: 16, acquisition: 'point' },
    },
    identify: async (call) => {
      open(call);
      return { maker: 'a', model: 'b', serial: 'c', firmware: 'd', raw: 'a,b,c,d' };
    },
    arm: async ({ rate, duration }, call) => {
      open(call);
      const again = second !== 'new' && records > 0;
      const seed = again ? 0 : records;
      records++;
      const codes = Int16Array.from({ length: duration * rate }, (_, k) => (k * 7919 + seed) % 101);
      const wait = second === 'the first again, at once' && again ? 0 : duration;
      const start = performance.now() / 1000;
      const finished = new Promise((done) => setTimeout(done, wait * 1000 + 1)).then(() => [
        {
          ...{ input: 'a', codes, scale: 1, offset: 0, unit: 'V' as const, rate, start },
          ...{ lowest: -1000, highest: 1000 },
        },
      ]);
      return { started: start, finished };
    },
    close: async () => {
      closed = true;
    },
  };
}

async function brokenOf(second: Parameters<typeof digitiser>[0]): Promise<string[]> {
  const broken: string[] = [];
  const candidate = { lamp, open: async () => digitiser(second), deadline: 1 };
  for await (const { guarantee, outcome } of conformance('digitiser', candidate))
    if (outcome === 'broken' && /record/i.test(guarantee)) broken.push(guarantee);
  return broken.filter((guarantee) => /again after|no sooner/.test(guarantee));
}

describe('a digitiser that hands over its old record', () => {
  it('is found out by its codes, and by its haste', async () => {
    expect(await brokenOf('new')).toEqual([]);
    expect(await brokenOf('the first again')).toEqual([
      'It records again after a record, and hands over the new one',
    ]);
    expect(await brokenOf('the first again, at once')).toContain(
      'It records again after a record, and hands over the new one',
    );
  });
});
