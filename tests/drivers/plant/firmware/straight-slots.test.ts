import { expect, it } from 'vitest';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import { alcove } from './alcove.ts';
import { BareLamp } from './bare-lamp.ts';

const straight = {
  ...alcove,
  curve: { kind: 'linear' as const, bottom: 0.01 },
  links: { ...alcove.links, dmx: { firstSlot: 1, bits: 8 as const, onLoss: 'hold' as const } },
};

it.each([
  [1, 1 / 255],
  [7, 7 / 255],
  [128, 128 / 255],
  [255, 1],
])('takes a level slot of %d for a light of %d on a straight curve of 8 bits', (value, light) => {
  const lamp = new BareLamp(new ReferenceFirmware(straight, healthyFirmware));
  lamp.run(1);
  lamp.dmx(0, [value, ...new Array<number>(6).fill(255)]);
  lamp.run(0.2);
  expect(lamp.light(0)).toBeCloseTo(light, 4);
});
