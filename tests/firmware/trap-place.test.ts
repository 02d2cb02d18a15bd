import { expect, test } from 'vitest';
import { EdgeCoverage, loadCounted } from '../../drivers/plant/firmware/edge-coverage.ts';
import { functionNamesOf } from '../../drivers/plant/firmware/function-names.ts';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { BareLamp } from '../drivers/plant/firmware/bare-lamp.ts';
import { buildSource } from './build-firmware.ts';

const named = ['-O0'];

/** What is said of the build when it is sent a letter, and ticks. */
async function saidOf(
  letter: string,
  flags: readonly string[],
  counted: boolean | 'preemptible' = false,
  source = 'sources/traps.c',
): Promise<string> {
  const image = await loadFirmware(buildSource(source, [...named, ...flags]), 'traps.wasm', {
    counted: counted === true,
    preemptible: counted === 'preemptible',
  });
  const lamp = new BareLamp(openFirmware(image), 1);
  try {
    lamp.receive({ link: 'console', byte: letter.charCodeAt(0) });
    lamp.firmware.tick();
    lamp.firmware.mainLoop?.work(10_000);
    return 'nothing';
  } catch (error) {
    return (error as Error).message;
  } finally {
    lamp.firmware.dispose();
  }
}

test.each([
  ['by ticks', [], false, 'lamp_tick()'],
  ['by ticks, its instructions counted', [], true, 'lamp_tick()'],
  ['by a main loop', ['-DMAIN_LOOP'], false, 'lamp_main()'],
  ['by a main loop, its instructions counted', ['-DMAIN_LOOP'], true, 'lamp_main()'],
])('a trap names its function and who called it: driven %s', async (_, flags, counted, entry) => {
  expect(await saidOf('d', flags, counted)).toBe(
    `Firmware traps.wasm: ${entry} ended in a trap: divide by zero, in scaled(), called from step_fade(), from ${entry}.`,
  );
});

test('a function that fills the stack is told once', async () => {
  expect(await saidOf('s', [])).toBe(
    'Firmware traps.wasm: lamp_receive_console() ended in a trap: memory access out of bounds, in deep(), which called itself.',
  );
});

test('a call of the port that fails names who made it', async () => {
  expect(await saidOf('l', [])).toMatch(
    /lies beyond its memory .*, in lamp_receive_console\(\)\.$/,
  );
});

test('functions of a build without names have numbers', async () => {
  expect(await saidOf('d', ['-Wl,--strip-all'])).toMatch(
    /divide by zero, in function \d+\(\), called from function \d+\(\), from function \d+\(\)\.$/,
  );
});

test('a name section that is cut off, or tells too much, yields what it holds', () => {
  const bytes = buildSource('sources/traps.c', named);
  expect([...functionNamesOf(bytes).values()]).toContain('scaled');
  for (let end = 0; end < bytes.length; end += 7)
    expect(functionNamesOf(bytes.subarray(0, end)).size).toBeLessThan(20);
});

const placed = (entry: string, line: number) =>
  `Firmware traps.wasm: ${entry} ended in a trap: divide by zero, in scaled() at traps.c:11, called from step_fade() at traps.c:12, from ${entry} at traps.c:${line}.`;

type Driven = readonly [string, readonly string[], boolean | 'preemptible', string, number];
const driven: readonly Driven[] = [
  ['by ticks', [], false, 'lamp_tick()', 25],
  ['by ticks, its instructions counted', [], true, 'lamp_tick()', 25],
  ['by a main loop', ['-DMAIN_LOOP'], false, 'lamp_main()', 41],
  ['by a main loop, its instructions counted', ['-DMAIN_LOOP'], true, 'lamp_main()', 41],
  ['by a main loop that is preempted', ['-DMAIN_LOOP'], 'preemptible', 'lamp_main()', 41],
];
const versions = ['-gdwarf-4', '-gdwarf-5'];

test.each(driven)(
  'with debug information a trap has file and line: driven %s',
  async (_, flags, counted, entry, line) => {
    for (const version of versions)
      expect(await saidOf('d', ['-g', version, ...flags], counted)).toBe(placed(entry, line));
  },
);

test.each(driven)(
  'so have functions that the optimiser made part of others: driven %s',
  async (_, flags, counted, entry, line) => {
    for (const version of versions) {
      const inlined = ['-g', '-O2', '-DKEPT=', version, ...flags];
      expect(await saidOf('d', inlined, counted)).toBe(placed(entry, line));
    }
  },
);

test('a build whose edges are counted, as a search does, names its lines too', async () => {
  const bytes = buildSource('sources/traps.c', ['-g', '-O2', '-DKEPT=']);
  const coverage = new EdgeCoverage(await loadCounted(bytes, 'traps.wasm'));
  const lamp = new BareLamp(coverage.firmware, 1);
  lamp.receive({ link: 'console', byte: 'd'.charCodeAt(0) });
  expect(() => lamp.firmware.tick()).toThrow(placed('lamp_tick()', 25));
});

test('a call of the port that fails has its line', async () => {
  expect(await saidOf('l', ['-g'])).toMatch(/, in lamp_receive_console\(\) at traps\.c:34\.$/);
});

test('without debug information of its file, a function has its name alone', async () => {
  expect(await saidOf('d', ['-g', '-Wl,--strip-debug'])).toMatch(/in scaled\(\), called from/);
});

test('where a rewriting may have changed the order, no line is told; the caller has its own', async () => {
  const source = 'sources/two-divisions.c';
  const flags = ['-g', '-O2'];
  // Of two divisions in the function that waits, which is which cannot be told.
  expect(await saidOf('m', flags, false, source)).toMatch(/divide by zero, in lamp_main\(\)\.$/);
  expect(await saidOf('x', flags, false, source)).toMatch(
    /divide by zero, in both\(\) at two-divisions\.c:11, called from lamp_main\(\) at two-divisions\.c:30\.$/,
  );
});
