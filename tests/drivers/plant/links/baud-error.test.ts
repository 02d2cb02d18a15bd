import { describe, expect, test } from 'vitest';
import type { LinkInput } from '../../../../drivers/plant/firmware/firmware.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { BareLamp } from '../firmware/bare-lamp.ts';
import { call, playing, testBench } from '../instruments/test-bench.ts';

/** What comes to the firmware of a console line, with the lamp's bit clock so much too fast. */
async function arrives(size: number): Promise<readonly LinkInput[]> {
  const inputs: LinkInput[] = [];
  const firmware = () => ({
    ...playing(() => {})(),
    receive: (input: LinkInput) => inputs.push(input),
  });
  const faults = size === 0 ? [] : [{ fault: 'console-baud-off', size }];
  const bench = await testBench({ firmware, faults });
  await bench.console.send({ link: 'console', line: 'abc' }, call).catch(() => {});
  return inputs;
}

const plain = (text: string) =>
  [...text].map((letter) => ({ link: 'console', byte: letter.charCodeAt(0) }));

describe('a console whose bit clock is off', () => {
  test('understands everything within 3 %', async () => {
    expect(await arrives(0)).toEqual(plain('abc\n'));
    expect(await arrives(0.03)).toEqual(plain('abc\n'));
  });

  test('hands on framing errors beyond what a byte allows', async () => {
    // The highest bit of each letter is 0: it stands where the stop bit is looked for.
    const inputs = await arrives(0.06);
    expect(inputs).toContainEqual({ ...plain('a')[0], framingError: true });
    expect(inputs.every((input) => 'framingError' in input)).toBe(true);
  });
});

test('a build is told of a framing error by a function of its own, and without one the byte is lost', async () => {
  const image = await loadFirmware(buildSource('sources/framing.c'), 'framing.wasm');
  const lamp = new BareLamp(openFirmware(image), 1);
  lamp.receive({ link: 'console', byte: 65 });
  lamp.receive({ link: 'console', byte: 66, framingError: true });
  lamp.receive({ link: 'dmx', event: 'byte', byte: 67, framingError: true });
  expect(lamp.heard).toBe('A!0B!2C');
  const deaf = await loadFirmware(
    buildSource('sources/framing.c', ['-DWITHOUT_FRAMING']),
    'framing.wasm',
  );
  const other = new BareLamp(openFirmware(deaf), 1);
  other.receive({ link: 'console', byte: 66, framingError: true });
  other.receive({ link: 'console', byte: 65 });
  expect(other.heard).toBe('A');
});
