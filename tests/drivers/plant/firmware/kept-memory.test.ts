import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { bareLamp } from '../instruments/test-bench.ts';
import { type ProbedLamp, probedLamp } from './probed-lamp.ts';

const keeper = await loadFirmware(buildSource('sources/keeper.c'), 'keeper.wasm');
const letter = (text: string): number => text.charCodeAt(0);

function kept(memory: NonNullable<Lamp['memory']>, holdUp = 0): ProbedLamp {
  return probedLamp({ ...bareLamp, supply: { ...bareLamp.supply, holdUp }, memory }, keeper);
}

/** Off at `at` for so many seconds, and on again for a while. */
async function powerCycle({ simulation }: ProbedLamp, at: number, seconds = 0.5): Promise<void> {
  await simulation.runUntil(at);
  simulation.setPower(false);
  await simulation.runUntil(at + seconds);
  simulation.setPower(true);
  await simulation.runUntil(at + seconds + 0.1);
}

describe('a byte that takes 3 ms to be written', () => {
  test('is busy for so long, after those before it; its pin shows that', async () => {
    const lamp = kept({ writeTime: 3e-3 });
    lamp.say(0.1005, '5');
    await lamp.simulation.runUntil(0.2);
    expect(lamp.simulation.writing.highTime(0, 0.2)).toBeCloseTo(8 * 3e-3, 9);
    const busy = lamp.told('busy').filter(([, value]) => value === 1);
    expect(busy.length).toBe(24);
  });

  test('survives a power cut that comes late enough', async () => {
    const lamp = kept({ writeTime: 3e-3 });
    lamp.say(0.1, '5');
    await powerCycle(lamp, 0.13);
    expect([lamp.values('first').at(-1), lamp.values('same').at(-1)]).toEqual([letter('5'), 8]);
  });

  test('is lost when the power goes first: what waited is as before, what was under way is erased', async () => {
    const lamp = kept({ writeTime: 3e-3 });
    lamp.say(0.1, '5');
    lamp.say(0.2, '6');
    await powerCycle(lamp, 0.21);
    // Three are written, the fourth is cut short.
    expect(lamp.values('first').at(-1)).toBe(letter('6'));
    expect(lamp.values('fourth').at(-1)).toBe(0xff);
    expect(lamp.values('last').at(-1)).toBe(letter('5'));
    expect(lamp.values('same').at(-1)).toBe(3);
  });

  test.each([
    ['by its pin', (lamp: ProbedLamp) => lamp.simulation.reset(0.104)],
    ['by itself', (lamp: ProbedLamp) => lamp.say(0.104, 'r')],
  ])(
    'gets into its cell all the same when the processor restarts %s, and those behind it do not',
    async (_, restart) => {
      const lamp = kept({ writeTime: 3e-3 });
      lamp.say(0.1, '5');
      restart(lamp);
      await lamp.simulation.runUntil(0.12);
      await powerCycle(lamp, 0.13);
      expect(lamp.values('first').at(-1)).toBe(letter('5'));
      expect(lamp.values('last').at(-1)).toBe(0xff);
      expect(lamp.values('same').at(-1)).toBe(2);
    },
  );

  test('costs nothing where the lamp file says nothing', async () => {
    const lamp = kept({});
    lamp.say(0.1, '5');
    await powerCycle(lamp, 0.1);
    expect([
      lamp.values('first').at(-1),
      lamp.values('same').at(-1),
      lamp.values('busy').at(-1),
    ]).toEqual([letter('5'), 8, 0]);
  });
});

test('a cell that was written too often keeps what it holds', async () => {
  const lamp = kept({ endurance: 100, written: 98 });
  for (const [index, text] of ['1', '2', '3'].entries()) lamp.say(0.1 + 0.1 * index, text);
  await powerCycle(lamp, 0.5);
  expect(lamp.values('first').at(-1)).toBe(letter('2'));
});

describe('hold-up', () => {
  test('lets what is stored at the failure of the supply get into its cells, if it lasts', async () => {
    const bytes = async (holdUp: number): Promise<number | undefined> => {
      const lamp = kept({ writeTime: 3e-3 }, holdUp);
      lamp.say(0.1, 'l');
      lamp.say(0.2, '7');
      await powerCycle(lamp, 0.3);
      return lamp.values('same').at(-1);
    };
    expect(await bytes(30e-3)).toBe(8);
    expect(await bytes(10e-3)).toBe(3);
  });

  test('tells the failure at once, with the light out and the supply at 0 V', async () => {
    const lamp = kept({}, 0.02);
    await lamp.simulation.runUntil(0.1);
    lamp.simulation.setPower(false);
    expect(lamp.told('failed')).toEqual([[0.1, 0]]);
    expect(lamp.simulation.state.present.rail).toBe(0);
    await lamp.simulation.runUntil(0.2);
    const ticks = lamp.told('busy').filter(([at]) => at > 0.1);
    expect(ticks.length).toBeGreaterThan(17);
    expect(ticks.length).toBeLessThan(21);
  });

  test('ends without a restart when the supply returns in time', async () => {
    const lamp = kept({}, 0.02);
    await lamp.simulation.runUntil(0.1);
    lamp.simulation.setPower(false);
    await lamp.simulation.runUntil(0.11);
    lamp.simulation.setPower(true);
    await lamp.simulation.runUntil(0.2);
    expect(lamp.told('first')).toHaveLength(1);
    expect(lamp.simulation.state.present.rail).toBeGreaterThan(40);
    expect(lamp.simulation.dark()).toBe(false);
  });

  test('is none where the lamp file says nothing: nobody is told', async () => {
    const lamp = kept({});
    await powerCycle(lamp, 0.1);
    expect(lamp.told('failed')).toEqual([]);
    expect(lamp.told('first')).toHaveLength(2);
  });
});
