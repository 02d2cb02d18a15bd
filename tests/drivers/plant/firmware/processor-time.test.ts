import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { assembled } from '../../../firmware/assembled.ts';
import { buildAlcove, buildAlcoveMainLoop } from '../../../firmware/build-firmware.ts';
import { bareLamp, mean, recorded, testBench } from '../instruments/test-bench.ts';
import { BareLamp } from './bare-lamp.ts';

/** Its tick works for 1,000 rounds of 6 instructions with the busy pin high; its console as a byte says. */
const works = await loadFirmware(
  assembled(`
    (import "env" "lamp_set_busy" (func $busy (param i32)))
    (func $rounds (param $left i32)
      (loop $again
        (local.set $left (i32.sub (local.get $left) (i32.const 1)))
        (br_if $again (local.get $left))))
    (func (export "lamp_init"))
    (func (export "lamp_tick") (result i32)
      (call $busy (i32.const 1))
      (call $rounds (i32.const 1000))
      (call $busy (i32.const 0))
      (i32.const 0))
    (func (export "lamp_receive_console") (param $byte i32)
      (if (i32.lt_u (local.get $byte) (i32.const 3))
        (then (return))
        (else (call $rounds (local.get $byte)))))`),
  'works.wasm',
  { counted: true },
);

describe('the instructions of a counted build', () => {
  // Up to the if: 4. The other arm: 2, and 6 for each round.
  test.each([
    ['an arm that returns', 2, 4 + 1],
    ['a call, and three rounds of a loop', 3, 4 + 2 + 3 * 6],
    ['a call, and 200 rounds of a loop', 200, 4 + 2 + 200 * 6],
  ])('%s', (_, byte, instructions) => {
    const lamp = new BareLamp(openFirmware(works), 1);
    lamp.instructions = 0;
    lamp.receive({ link: 'console', byte });
    expect(lamp.instructions).toBe(instructions);
  });

  test.each([
    ['ticks', buildAlcove()],
    ['a main loop', buildAlcoveMainLoop()],
  ])('change nothing that the example in C with %s does', async (_, bytes) => {
    const images = [
      await loadFirmware(bytes, 'alcove'),
      await loadFirmware(bytes, 'alcove', { counted: true }),
    ];
    const [plain, counted] = images.map((image) => {
      const lamp = new BareLamp(openFirmware(image));
      const story: unknown[] = [];
      const run = (seconds: number) => lamp.run(seconds, () => story.push(...lamp.drives));
      run(0.4);
      story.push(lamp.say('fade 200 dim 40 mix 100 50 25 12 6 3'), lamp.say('nonsense'));
      run(0.1);
      story.push(lamp.dali(0x0a, 170), lamp.dali(0x0b, 0xa0), lamp.say('restart'));
      run(0.3);
      return { story: [...story, ...lamp.memory], instructions: lamp.instructions };
    });
    expect(counted!.story).toEqual(plain!.story);
    expect(plain!.instructions).toBe(0);
    expect(counted!.instructions).toBeGreaterThan(10_000);
    expect(images[1]!.digest).toBe(images[0]!.digest);
  });
});

test('exceptions are counted by the way that they go', async () => {
  const bytes = assembled(`
    (tag $thrown)
    (func (export "lamp_init"))
    (func (export "lamp_tick") (result i32) (i32.const 1))
    (func (export "lamp_receive_console") (param $byte i32)
      (try
        (do (if (local.get $byte) (then (throw $thrown))))
        (catch $thrown (local.set $byte (i32.const 7)) (local.set $byte (i32.const 8)))))`);
  const image = await loadFirmware(bytes, 'throws.wasm', { counted: true });
  const lamp = new BareLamp(openFirmware(image), 1);
  const counted = (byte: number): number => {
    lamp.instructions = 0;
    lamp.receive({ link: 'console', byte });
    return lamp.instructions;
  };
  expect(counted(0)).toBe(2);
  expect(counted(1)).toBe(2 + 1 + 4);
});

describe('the busy pin of the simulated lamp', () => {
  /** Part of the time in which it is high, 1,000 ticks a second. */
  async function load(speed: number): Promise<number> {
    const lamp = { ...bareLamp, processor: { speed } };
    const bench = await testBench({ lamp, firmware: works });
    return mean(await recorded(bench, 'busy', 1e5, 0.1)) / 3.3;
  }

  test('is high for as long as the instructions take', async () => {
    // 6,004 a millisecond with those of the calls.
    expect(await load(10e6)).toBeCloseTo(0.6, 2);
    expect(await load(60e6)).toBeCloseTo(0.1, 2);
  });

  test('stays high where there is more to do than time', async () => {
    expect(await load(6.1e6)).toBeLessThan(1);
    expect(await load(3e6)).toBeGreaterThan(0.99);
  });
});
