import { describe, expect, it } from 'vitest';
import { VirtualClock } from '../../../../drivers/plant/clock/virtual-clock.ts';

function made(): { clock: VirtualClock; stops: number[] } {
  let now = 0;
  const stops: number[] = [];
  const simulation = {
    now: () => now,
    schedule: () => {},
    runUntil: async (to: number): Promise<void> => {
      now = to;
      stops.push(to);
    },
  };
  return { clock: new VirtualClock(simulation), stops };
}

const { signal } = new AbortController();

describe('The virtual clock', () => {
  it('wakes everybody in the order of instants, then of asking, whatever the order of asking was', async () => {
    const { clock } = made();
    const woken: string[] = [];
    const wait = async (name: string, at: number): Promise<void> => {
      await clock.waitUntil(at, signal);
      woken.push(`${name} ${clock.now()}`);
    };
    await Promise.all([wait('late', 3), wait('first', 1), wait('second', 1), wait('middle', 2)]);
    expect(woken).toEqual(['first 1', 'second 1', 'middle 2', 'late 3']);
  });

  it('lets whoever was woken act before time goes on', async () => {
    const { clock, stops } = made();
    const chain = async (): Promise<void> => {
      for (let i = 1; i <= 4; i++) {
        await clock.waitUntil(i * 0.25, signal);
        for (let hop = 0; hop < 50; hop++) await Promise.resolve();
      }
    };
    await Promise.all([chain(), clock.waitUntil(2, signal)]);
    expect(stops).toEqual([0.25, 0.5, 0.75, 1, 2]);
  });

  it('leaves time alone while a record waits and somebody else is at work', async () => {
    const { clock } = made();
    const record = clock.reach(10, signal);
    await clock.waitUntil(1, signal);
    expect(clock.now()).toBe(1);
    await clock.waitUntil(12, signal);
    await record;
    expect(clock.now()).toBe(12);
  });

  it('runs to the end of a record when nothing else is wanted', async () => {
    const { clock } = made();
    await clock.reach(5, signal);
    expect(clock.now()).toBeCloseTo(5, 8);
  });

  it('rejects a wait that is cancelled, and goes on for the others', async () => {
    const { clock } = made();
    const stop = new AbortController();
    const gone = clock.waitUntil(1, stop.signal);
    const other = clock.waitUntil(2, signal);
    stop.abort();
    await expect(gone).rejects.toMatchObject({ kind: 'cancelled' });
    await other;
    expect(clock.now()).toBe(2);
  });

  it('rejects everybody, now and later, once the simulation has failed', async () => {
    const broken = new VirtualClock({
      now: () => 0,
      schedule: () => {},
      runUntil: async () => {
        throw new Error('trap');
      },
    });
    const both = [broken.waitUntil(1, signal), broken.reach(2, signal)];
    for (const wait of both) await expect(wait).rejects.toThrow('trap');
    await expect(broken.waitUntil(0, signal)).rejects.toThrow('trap');
  });
});
