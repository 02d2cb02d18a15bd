import { expect, test } from 'vitest';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { buildSource } from './build-firmware.ts';
import { claim, judge } from './judge.ts';

test('a firmware that traps fails its claim, with the instant and the reason, and is no bench error', async () => {
  const bytes = buildSource('sources/broken.c');
  const firmware = () => openFirmware({ name: 'broken.wasm', bytes });
  // Its console divides by zero at the letter d, the first of `dim`.
  const { verdict, reason } = await judge(claim('dimming/reaches-bottom'), 0, { firmware });
  expect(verdict).toBe('fail');
  expect(reason).toContain('broken.wasm');
  expect(reason).toContain('divide by zero');
});

test('a main loop that never waits fails its claim', async () => {
  const bytes = buildSource('sources/main-loop.c');
  const firmware = () => openFirmware({ name: 'restless.wasm', bytes });
  // Its console is quiet until an f (calls without a wait) comes, the first letter of `fade`.
  const plan = claim('fading/fades-on-time');
  const fades = plan.conditions[0]!.stimulus.filter(({ verb }) => verb === 'fade');
  const only = { ...plan, conditions: [{ ...plan.conditions[0]!, stimulus: fades }] };
  const { verdict, reason } = await judge(only, 0, { firmware });
  expect(verdict).toBe('fail');
  expect(reason).toContain('without a wait');
});
