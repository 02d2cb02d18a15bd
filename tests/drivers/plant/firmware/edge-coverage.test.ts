import { describe, expect, test } from 'vitest';
import { EdgeCoverage, loadCounted } from '../../../../drivers/plant/firmware/edge-coverage.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { assembled } from '../../../firmware/assembled.ts';
import { buildAlcove, buildAlcoveMainLoop } from '../../../firmware/build-firmware.ts';
import { BareLamp } from './bare-lamp.ts';

/** Its console goes a known way for every byte: below 3, below 10 (in a loop as often as it says), or else by a table. */
const branches = assembled(`
  (import "env" "lamp_restart" (func $restart))
  (func (export "lamp_init"))
  (func (export "lamp_tick") (result i32) (i32.const 1))
  (func (export "lamp_receive_console") (param $byte i32)
    (if (i32.lt_u (local.get $byte) (i32.const 3)) (then (return)))
    (if (i32.lt_u (local.get $byte) (i32.const 10))
      (then
        (loop $again
          (local.set $byte (i32.sub (local.get $byte) (i32.const 1)))
          (br_if $again (local.get $byte))))
      (else
        (block $other
          (block $eleven
            (block $ten
              (br_table $ten $eleven $other (i32.sub (local.get $byte) (i32.const 10))))
            (return))
          (call $restart)))))`);

/** What was reached of every function after these bytes. */
async function reachedBy(...bytes: number[]): Promise<Record<string, number[]>> {
  const image = await loadCounted(branches, 'branches.wasm');
  const coverage = new EdgeCoverage(image);
  const lamp = new BareLamp(coverage.firmware, 1);
  for (const byte of bytes) lamp.receive({ link: 'console', byte });
  const found: Record<string, number[]> = {};
  const counts = coverage.reached();
  image.edges.forEach(({ function: index, kind }, edge) => {
    (found[`${index} ${kind}`] ??= []).push(counts[edge]!);
  });
  return found;
}

const nothing = {
  '0 entry': [1],
  '1 entry': [0],
  '2 entry': [0],
  '2 then': [0, 0],
  '2 loop': [0],
  '2 taken': [0],
  '2 passed': [0],
  '2 else': [0, 0],
  '2 case': [0, 0, 0],
};

describe('every edge of a program is counted as often as it is passed', () => {
  test.each<[string, number[], Partial<typeof nothing>]>([
    ['nothing but the start', [], {}],
    ['an if', [2], { '2 entry': [1], '2 then': [1, 0] }],
    [
      'an if that is not taken, a loop and its branch back',
      [5],
      {
        ...{ '2 entry': [1], '2 then': [0, 1], '2 else': [1, 0] },
        ...{ '2 loop': [5], '2 taken': [4], '2 passed': [1] },
      },
    ],
    ['the first of a table', [10], { '2 entry': [1], '2 else': [1, 1], '2 case': [1, 0, 0] }],
    [
      'what lies beyond the table',
      [12, 200],
      { '2 entry': [2], '2 else': [2, 2], '2 case': [0, 0, 2] },
    ],
    [
      'over a restart',
      [11, 10],
      { '0 entry': [2], '2 entry': [2], '2 else': [2, 2], '2 case': [1, 1, 0] },
    ],
    ['up to 255 times', new Array<number>(300).fill(2), { '2 entry': [255], '2 then': [255, 0] }],
  ])('%s', async (_, bytes, reached) => {
    expect(await reachedBy(...bytes)).toEqual({ ...nothing, ...reached });
  });
});

describe('counting changes nothing that the example in C does', () => {
  test.each([
    ['ticks', buildAlcove],
    ['main loop', buildAlcoveMainLoop],
  ])('%s', async (_, build) => {
    const bytes = build();
    const coverage = new EdgeCoverage(await loadCounted(bytes, 'alcove'));
    const plain = openFirmware(await loadFirmware(bytes, 'alcove'));
    const [theirs, ours] = [plain, coverage.firmware].map((firmware) => {
      const lamp = new BareLamp(firmware);
      const story: unknown[] = [];
      const run = (seconds: number) =>
        lamp.run(seconds, () => {
          story.push(...lamp.drives);
          if (firmware === coverage.firmware) coverage.reached();
        });
      run(0.4);
      story.push(lamp.say('fade 200 dim 40 mix 100 50 25 12 6 3'), lamp.say('nonsense'));
      run(0.1);
      story.push(lamp.dali(0x0a, 170), lamp.dali(0x0b, 0xa0), lamp.say('restart'));
      run(0.3);
      lamp.dmx(0, [0, 200, ...new Array<number>(12).fill(90)]);
      run(0.05);
      return [...story, ...lamp.memory];
    });
    expect(ours).toEqual(theirs);
    const reached = coverage.reached().filter((count) => count > 0).length;
    // Some of it, and not all: nobody sent a scene, say.
    expect(reached).toBeGreaterThan(100);
    expect(reached).toBeLessThan(0.8 * coverage.reached().length);
  });
});
