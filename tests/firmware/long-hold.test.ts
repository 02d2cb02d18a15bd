import { expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import { buildAlcove, buildAlcoveMainLoop } from './build-firmware.ts';
import { claim, judge } from './judge.ts';

const hour = 3600;
/** Counters of 32 bit wrap: microseconds after 71.6 minutes, milliseconds after 49.7 days. */
const holds = [71 * 60, 72 * 60, 49.71 * 24 * hour];

const alcove = await loadFirmware(buildAlcove(), 'alcove');
const looping = await loadFirmware(buildAlcoveMainLoop(), 'alcove');

/** Fades on time, begun after so many seconds of rest. */
function after(seconds: number): Plan {
  const plan = claim('fading/fades-on-time');
  const [condition] = plan.conditions;
  const rest = { verb: 'hold', time: seconds } as const;
  const [set, ...others] = condition!.stimulus;
  const captures = condition!.captures.map((capture) => ({ ...capture, during: 'fading' }));
  return { ...plan, conditions: [{ ...condition!, stimulus: [set!, rest, ...others], captures }] };
}

test.each([
  ['reference firmware', undefined],
  ['example in C', () => openFirmware(alcove)],
  ['example in C with a main loop', () => openFirmware(looping)],
])('the %s fades on time after weeks of rest', async (_, firmware) => {
  for (const seconds of holds) {
    const { verdict, reason } = await judge(after(seconds), 0, firmware ? { firmware } : {});
    expect([seconds, verdict, reason]).toEqual([seconds, 'pass', null]);
  }
});

test('weeks of a lamp that is never idle are not run, and the reason says why', async () => {
  const faults = [{ fault: 'dead-zone', size: 0.02 }];
  const { verdict, reason } = await judge(after(49.71 * 24 * hour), 0, { faults });
  expect(verdict).toBe('not run');
  expect(reason).toMatch(
    /has something to do at every tick, so that a wait of 49\.71 d would take/,
  );
});
