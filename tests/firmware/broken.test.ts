import { expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { buildSource } from './build-firmware.ts';
import { claim, judge } from './judge.ts';

test('a firmware that traps fails its claim, with the instant and the reason, and is no bench error', async () => {
  const image = await loadFirmware(buildSource('sources/broken.c'), 'broken.wasm');
  const firmware = () => openFirmware(image);
  // Its console divides by zero at the letter d, the first of `dim`.
  const { verdict, reason } = await judge(claim('dimming/reaches-bottom'), 0, { firmware });
  expect(verdict).toBe('fail');
  expect(reason).toContain('broken.wasm');
  expect(reason).toContain('divide by zero');
});
