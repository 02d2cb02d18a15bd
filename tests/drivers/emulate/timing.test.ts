import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import { driverSettings } from '../../../drivers/registry.ts';
import type { LinkTiming } from '../../../harness/bench/rig.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import { effectAt } from '../../../harness/run/condition/link-timing.ts';
import type { Lane } from '../../../harness/run/engine/lane.ts';
import { pulseAfter } from '../../../harness/run/take/command-edges.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { changeTiming } from '../../../harness/workflow/rig/change-timing.ts';
import { learnTiming } from '../../../harness/workflow/rig/learn-timing.ts';
import { lamp } from '../conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from './open-test-bench.ts';

/** Instants on the condition's time line, s. */
interface Command {
  readonly left: number;
  readonly confirmed: number;
  readonly seen: number;
  /** Of the record. */
  readonly standardStart: number;
}

/** Jumps 100 times on an emulated bench of its own; what was learnt, and every command's lateness beyond the engine's instant. */
async function learn(link: string): Promise<{ found: LinkTiming; late: readonly Command[] }> {
  const emulation = await openTestEmulation({ factoryFresh: true });
  const rig = rigFor(emulation);
  const to = { rig, lamp, folder: resolve('specs/rigs') };
  const lane = new RigLane(to, await openRig(to), new Map());
  const late: Command[] = [];
  const noting: Pick<Lane, 'execute'> = {
    async execute(task, signal) {
      const result = await lane.execute(task, signal);
      const { commands, captures } = result.condition;
      if (captures.length === 0) throw new Error(result.condition.reason ?? 'no captures');
      const sync = result.captures.get(captures.find((one) => one.signal === 'sync')!.id)!;
      const { standardStart = 0 } = sync;
      for (const { left = 0, confirmed = 0 } of commands
        .filter(({ verb }) => verb === 'set')
        .slice(1)) {
        const seen = pulseAfter(sync, confirmed);
        if (seen !== null) late.push({ left, confirmed, seen, standardStart });
      }
      return result;
    },
  };
  try {
    const task = { edges: 100, latency: 0, date: '2026-11-29' };
    const found = await learnTiming(
      link,
      { lamp, rig },
      task,
      noting,
      new AbortController().signal,
    );
    return { found, late };
  } finally {
    await lane.safe();
    await lane.close();
    await emulation.close();
  }
}

describe('the timing of the emulated bench', { timeout: 400_000 }, () => {
  it('is learnt, and holds when another 100 commands reach the lamp in 95 of them', async () => {
    const [{ found }, other] = await Promise.all([learn('console'), learn('console')]);
    expect(found).toMatchObject({ link: 'console', digitiser: 'digitiser', seen: 'sync' });
    // A stalled machine may lose a few to the end of a record.
    expect(found.edges).toBeGreaterThanOrEqual(90);
    // The sync pin of the simulated lamp goes up in the very tick in which it has the whole command: the true delay.
    const held = other.late.filter(({ left, confirmed, seen, standardStart }) => {
      const sent = { from: left, lasted: confirmed - left, confirmed: true };
      const { at, standard } = effectAt({ timing: [found] }, 'console', sent);
      return Math.abs(seen - at) <= 2 * Math.hypot(standard, standardStart);
    });
    expect(other.late.length).toBeGreaterThanOrEqual(90);
    // Of 100 commands that are held with 95 %, 91 or more are but once in 40 times (binomial distribution, computed).
    expect(held.length / other.late.length).toBeGreaterThanOrEqual(0.91);
    // It is a measure of this bench, not a number that holds everything: less than 10 ms on an idle machine, up to 40 ms were seen on a busy one.
    expect(found.scatter).toBeLessThan(0.1);
  });
});

describe('a command with a known timing', () => {
  const timing = [
    {
      ...{ link: 'dali', digitiser: 'scope', seen: 'light' as const, edges: 100 },
      ...{ delay: 0.004, scatter: 0.001, exchange: 0.02, date: '2026-11-29' },
    },
  ];

  it('is as late as was found, and known to the scatter', () => {
    const sent = { from: 0.98, lasted: 0.02, confirmed: true };
    expect(effectAt({ timing }, 'dali', sent)).toEqual({ at: 0.994, standard: 0.001 });
    expect(effectAt({}, 'dali', sent)).toEqual({ at: 0.99, standard: 0.02 / Math.sqrt(12) });
    const silent = { from: 1, lasted: 0, confirmed: true };
    expect(effectAt({ timing }, 'console', silent)).toEqual({ at: 1, standard: 0 });
  });

  it('is known less where its confirmation took longer', () => {
    const sent = { from: 0.92, lasted: 0.08, confirmed: true };
    const { standard } = effectAt({ timing }, 'dali', sent);
    expect(standard).toBeCloseTo(Math.hypot(0.001, 0.06 / Math.sqrt(12)), 12);
  });

  it('of a stream counts from the beginning of its frame, anywhere within which it acts', () => {
    const sent = { from: 1, lasted: 0.0227, confirmed: false };
    // A rectangle from the beginning to the end has its mean square error about the beginning at a third of its width squared.
    expect(effectAt({}, 'dmx', sent)).toEqual({ at: 1, standard: 0.0227 / Math.sqrt(3) });
    const own = [{ ...timing[0], link: 'dmx', exchange: 0.0227 }] as LinkTiming[];
    expect(effectAt({ timing: own }, 'dmx', sent)).toEqual({ at: 1.004, standard: 0.001 });
  });
});

describe('a rig file', () => {
  it('takes what was found, instead of what it said before, and is read again', () => {
    const one: LinkTiming = {
      ...{ link: 'console', digitiser: 'digitiser', seen: 'sync', edges: 100 },
      ...{ delay: -0.00123, scatter: 4e-4, exchange: 0.009, date: '2026-11-29' },
    };
    const text = `rig: one
about: a test
place: here
instruments:
  digitiser: { driver: plant, kind: digitiser }
  console: { driver: plant, kind: lamp-link, link: console }
wiring:
  - { signal: light, of: all, instrument: digitiser, input: light, scale: 1 lx/V, standard-scale: 1 %, standard-offset: 0 lx, noise: 1 lx, bandwidth: 1 kHz, bits: 16, full-scale: 5 lx }
links: { console: console }
safe: { lamp: off, supply: leave, within: 5 s }
`;
    const first = changeTiming(text, [one]);
    const second = changeTiming(first, [{ ...one, delay: 0.002 }]);
    for (const [written, delay] of [
      [first, -0.00123],
      [second, 0.002],
    ] as const) {
      const read = readRig(written, 'x', driverSettings);
      if ('issues' in read) throw new Error(JSON.stringify(read.issues));
      expect(read.rig.timing).toHaveLength(1);
      expect(read.rig.timing![0]).toMatchObject({ ...one, delay: expect.closeTo(delay, 9) });
    }
  });
});
