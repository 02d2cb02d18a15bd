import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyModel } from '../../../../drivers/plant/model.ts';
import { Simulation } from '../../../../drivers/plant/simulation.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { lamp as alcove } from '../../../firmware/judge.ts';
import { bareLamp } from '../instruments/test-bench.ts';
import { type ProbedLamp, probedLamp } from './probed-lamp.ts';

const supervised = await loadFirmware(buildSource('sources/supervised.c'), 'supervised.wasm');
const cause = { power: 0, pin: 1, brownOut: 2, watchdog: 3, firmware: 4 };

function play(processor: NonNullable<Lamp['processor']>): ProbedLamp {
  return probedLamp({ ...bareLamp, processor }, supervised);
}

describe('why the program started', () => {
  test('is told: power, reset pin, brown-out, itself', async () => {
    const { simulation, values, say } = play({});
    simulation.reset(0.1);
    say(0.2, 'r');
    await simulation.runUntil(0.3);
    simulation.setSource(20);
    await simulation.runUntil(0.4);
    simulation.setSource(48);
    await simulation.runUntil(0.5);
    simulation.setPower(false);
    await simulation.runUntil(0.6);
    simulation.setPower(true);
    await simulation.runUntil(0.7);
    const { power, pin, firmware, brownOut } = cause;
    const causes = values('cause');
    expect(causes.slice(0, 3)).toEqual([power, pin, firmware]);
    expect(new Set(causes.slice(3, -1))).toEqual(new Set([brownOut]));
    expect(causes.at(-1)).toBe(power);
  });
});

describe('the watchdog', () => {
  test('bites when it was kicked and then not for its time, and waits for the next kick', async () => {
    const { simulation, told, values, say } = play({ watchdog: 0.05 });
    say(0.1001, 'k');
    say(0.3001, 'h');
    await simulation.runUntil(1);
    expect(values('cause')).toEqual([cause.power, cause.watchdog]);
    // The last kick was in the tick of 0.3 s.
    expect(told('cause')[1]?.[0]).toBeCloseTo(0.35, 6);
  });

  test('keeps an idle lamp ticking while it runs, and bites nobody who kicks', async () => {
    const { simulation, values, say } = play({ watchdog: 0.05 });
    await simulation.runUntil(0.1);
    expect(values('ticks')).toEqual([1]);
    say(0.1001, 'k');
    await simulation.runUntil(1.1);
    expect(values('cause')).toEqual([cause.power]);
    expect(values('ticks').length).toBeGreaterThan(990);
  });

  test('is not there where the lamp file has none', async () => {
    const { simulation, values, say } = play({});
    say(0.1, 'k');
    say(0.2, 'h');
    await simulation.runUntil(2);
    expect(values('cause')).toEqual([cause.power]);
  });

  test('stops with the power, and with a reset', async () => {
    const { simulation, values, say } = play({ watchdog: 0.05 });
    say(0.1, 'k');
    simulation.reset(0.12);
    await simulation.runUntil(1);
    expect(values('cause')).toEqual([cause.power, cause.pin]);
  });
});

describe('boot time', () => {
  test('passes before the first instruction, after power and after a reset; bytes come to nobody', async () => {
    const { simulation, told, values, say } = play({ boot: 0.04 });
    say(0.02, 'x');
    say(0.06, 'y');
    simulation.reset(0.1);
    say(0.12, 'z');
    await simulation.runUntil(0.3);
    expect(told('cause').map(([at]) => at)).toEqual([0.04, 0.14]);
    expect(values('heard')).toEqual(['y'.charCodeAt(0)]);
    // The timer begins with the program, and goes on over the reset.
    expect(values('started')).toEqual([0, 100_000]);
  });

  test('begins anew when the power comes again before it is over', async () => {
    const { simulation, told } = play({ boot: 0.04 });
    await simulation.runUntil(0.02);
    simulation.setPower(false);
    await simulation.runUntil(0.03);
    simulation.setPower(true);
    await simulation.runUntil(0.3);
    expect(told('cause').map(([at]) => at)).toEqual([0.07]);
  });

  test('is a part of start-up: the built-in firmware lights up on time', async () => {
    const lit = async (processor: NonNullable<Lamp['processor']>): Promise<number> => {
      const asDelivered = { level: 1, mix: 'all', powerOn: 'last', systemFailure: 'hold' } as const;
      const lamp: Lamp = { ...alcove, asDelivered, processor };
      const model = healthyModel(lamp, 1);
      const simulation = new Simulation(lamp, model, new ReferenceFirmware(lamp, model.firmware));
      simulation.setSource(48);
      simulation.setPower(true);
      while (simulation.dark()) await simulation.runUntil(simulation.now() + 1e-3);
      return simulation.now();
    };
    expect(await lit({ boot: 0.2 })).toBeCloseTo(await lit({}), 2);
  });
});

describe('the timer and the tick', () => {
  test('begin where the lamp file says, and wrap', async () => {
    const { simulation, values, say } = play({ timerStart: 2 ** 32 / 1e6 - 0.1 });
    say(0.25, 'r');
    await simulation.runUntil(0.3);
    expect(values('started')).toEqual([2 ** 32 - 100_000, 150_000]);
  });

  test('come as often as the lamp file says', async () => {
    const { simulation, values, say } = play({ tick: 250e-6, watchdog: 1 });
    say(0.0001, 'k');
    await simulation.runUntil(0.5);
    expect(values('tick')).toEqual([250]);
    expect(values('ticks').length).toBeGreaterThan(1990);
    expect(values('ticks').length).toBeLessThan(2001);
  });
});
