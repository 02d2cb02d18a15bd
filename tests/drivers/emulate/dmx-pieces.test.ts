import { expect, test } from 'vitest';
import { DmxPieces } from '../../../drivers/plant/emulate/dmx-pieces.ts';

/** A lamp with START code and three slots; a light frame, a message of RDM of 27 bytes, a frame for more lamps. */
const light = [0, 7, 8, 9];
const rdm = [0xcc, 1, 25, ...new Array<number>(24).fill(0)];
const long = [0, 1, 2, 3, 4, 0, 5, 0, 0, 0];

const heard = (...pieces: readonly (readonly number[])[]) => {
  const line = new DmxPieces(4);
  return pieces.flatMap((piece) => line.take(Uint8Array.from(piece)));
};

test.each([
  ['piece by piece', [[0], light, [0], rdm, [0], light]],
  [
    'break and frame together',
    [
      [0, ...light],
      [0, ...rdm],
      [0, ...light],
    ],
  ],
  ['all together', [[0, ...light, 0, ...rdm, 0, ...light]]],
  ['frame and the next break together', [[0], [...light, 0], [...rdm, 0], light]],
  [
    'a frame apart',
    [[0], light.slice(0, 2), light.slice(2), [0], rdm.slice(0, 9), rdm.slice(9), [0], light],
  ],
])('breaks are found: %s', (_, pieces) => {
  expect(heard(...pieces)).toEqual(['break', ...light, 'break', ...rdm, 'break', ...light]);
});

test('a frame for more lamps is one frame, whatever is in it', () => {
  expect(heard([0], long, [0], rdm)).toEqual(['break', ...long, 'break', ...rdm]);
});

test('bytes without a break are no frame', () => {
  expect(heard([5, 6, 7], [0], light)).toEqual(['break', ...light]);
});
