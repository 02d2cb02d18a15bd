import { expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { buildAlcove } from './build-firmware.ts';
import { claim, judge } from './judge.ts';

test('a build that logs before it answers passes as one that does not, and its log stands in the record', async () => {
  const image = await loadFirmware(buildAlcove('../logs'), 'logs');
  const firmware = () => openFirmware(image);
  const { verdict, reason, commands } = await judge(claim('dimming/stable-at-bottom'), 0, {
    firmware,
  });
  expect(verdict, reason ?? '').toBe('pass');
  const [first] = commands.filter(({ verb }) => verb === 'set');
  expect(first?.besides).toEqual(['[1.2] level set, board 25 °C', '[1.5] stored']);
});
