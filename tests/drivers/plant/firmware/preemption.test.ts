import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { healthyModel } from '../../../../drivers/plant/model.ts';
import { Simulation } from '../../../../drivers/plant/simulation.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { buildAlcove, buildAlcoveMainLoop, buildSource } from '../../../firmware/build-firmware.ts';
import { lamp as alcove } from '../../../firmware/judge.ts';
import { bareLamp } from '../instruments/test-bench.ts';

const how = { counted: true, preemptible: true } as const;
const preempted = await loadFirmware(buildSource('sources/preempted.c'), 'preempted.wasm', how);
// Where wasm-opt is in the path, clang hands it what it optimises, and the names are gone.
const named = await loadFirmware(
  buildSource('sources/preempted.c', ['-O0']),
  'preempted.wasm',
  how,
);

interface Told {
  readonly name: string;
  readonly at: number;
  readonly value: number;
}

/** A lamp that has had power since instant 0, what its probes told, and its bytes: letters at instants. */
async function played(
  bytes: readonly (readonly [at: number, letter: string])[],
  until: number,
  { speed = 2e6, image = preempted } = {},
): Promise<{ simulation: Simulation; told: readonly Told[]; last: (name: string) => number }> {
  const lamp: Lamp = { ...bareLamp, processor: { speed, preemptive: true } };
  const simulation = new Simulation(lamp, healthyModel(lamp, 1), openFirmware(image));
  const told: Told[] = [];
  simulation.onProbed = (at, name, _, value) => told.push({ name, at, value });
  simulation.setSource(48);
  simulation.setPower(true);
  for (const [at, letter] of bytes)
    simulation.deliver(at, { link: 'console', byte: letter.charCodeAt(0) });
  await simulation.runUntil(until);
  const last = (name: string) => told.findLast((own) => own.name === name)?.value ?? 0;
  return { simulation, told, last };
}

describe('an interrupt that preempts the main loop', () => {
  test('tears what is read in two words, or in two halves of one of 64 bit', async () => {
    const { last } = await played([], 0.5);
    expect(last('ticks')).toBe(500);
    expect(last('torn')).toBeGreaterThan(5);
    expect(last('torn-wide')).toBeGreaterThan(5);
    // It comes anywhere, and not always there.
    expect(last('torn')).toBeLessThan(400);
  });

  test('tears nothing while interrupts are disabled', async () => {
    const { last } = await played([[0.0005, 'g']], 0.5);
    const { last: before } = await played([[0.0005, 'g']], 0.0015);
    expect(last('ticks')).toBeGreaterThan(498);
    expect(last('torn')).toBe(before('torn'));
    expect(last('torn-wide')).toBe(before('torn-wide'));
  });

  test('finds the main loop awake when it disabled interrupts before it looked, and else may not', async () => {
    // In the worst of the moments between two ticks, s.
    const latest = async (letter: string): Promise<number> => {
      const delays: number[] = [];
      for (let at = 0.02; at < 0.021; at += 0.1e-3) {
        const bytes = [[0.0035, letter] as const, [at, letter] as const];
        const { told } = await played(bytes, 0.03);
        const handled = told.find((own) => own.name === 'handled' && own.at > at);
        delays.push((handled?.at ?? 1) - at);
      }
      return Math.max(...delays);
    };
    const [careless, careful] = [await latest('n'), await latest('d')];
    expect(careless).toBeGreaterThan(1.2 * careful);
  });
});

describe('work takes its time', () => {
  test('in the main loop, by its own timer and on its busy pin, interrupts included', async () => {
    const { simulation, last } = await played([[0.01, 'p']], 0.5, { speed: 20e6 });
    const micros = last('took');
    // 1,000 rounds of a few instructions.
    expect(micros).toBeGreaterThan(100);
    expect(micros).toBeLessThan(1000);
    const busy = simulation.busy.highTime(0.1, 0.4) / 0.3;
    expect(busy).toBeGreaterThan(0.9);
    const faster = await played([[0.01, 'p']], 0.5, { speed: 40e6 });
    expect(faster.last('took') / micros).toBeCloseTo(0.5, 1);
  });

  test('and what it set going ends in the middle of it', async () => {
    const { simulation } = await played([[0.1, 'w']], 0.5);
    const { edges } = simulation.writing;
    expect(edges.length).toBeGreaterThan(20);
    const [rise = 0, fall = 0] = edges.slice(10);
    expect(fall - rise).toBeCloseTo(0.2e-3, 9);
  });

  test('ticks that come while two others wait or run are lost', async () => {
    const { told } = await played([[0.1, 'o']], 1.1);
    const ticks = told.filter(({ name, at }) => name === 'ticks' && at > 0.1);
    expect(ticks.length).toBeGreaterThan(50);
    expect(ticks.length).toBeLessThan(900);
    // One begins where the one before ends: there is always one that waits.
    const gaps = ticks.slice(5, 50).map(({ at }, index) => at - (ticks[index + 4]?.at ?? 0));
    expect(Math.max(...gaps) - Math.min(...gaps)).toBeLessThan(50e-6);
  });

  test('a byte that finds another one waiting is lost, and one that has the register to itself is not', async () => {
    const storm = (apart: number) =>
      Array.from({ length: 20 }, (_, index) => [0.1 + index * apart, 'b'] as const);
    expect((await played(storm(0.1e-3), 0.5)).last('bytes')).toBeLessThan(10);
    expect((await played(storm(10e-3), 0.5)).last('bytes')).toBe(20);
  });

  test('interrupts that are disabled for too long lose ticks', async () => {
    const { last } = await played([[0.1, 'm']], 1.1);
    expect(last('ticks')).toBeGreaterThan(100);
    expect(last('ticks')).toBeLessThan(800);
  });
});

describe('a main loop that was preempted', () => {
  test('may restart: a fresh copy begins', async () => {
    const { last } = await played([[0.1, 'r']], 0.2);
    expect(last('ticks')).toBeGreaterThan(90);
    expect(last('ticks')).toBeLessThan(110);
  });

  test.each([
    ['x', 'lamp_main() ended in a trap: unreachable, in lamp_main()'],
    ['e', 'lamp_main() returned; it must not'],
    // Built without optimising, its functions keep variables below the stack pointer: an interrupt must leave them alone.
  ])('fails as any other: %s', async (letter, message) => {
    await expect(played([[0.1, letter]], 0.2, { image: named })).rejects.toThrow(message);
  });

  test('reads a build without lamp_enable_interrupts() as it always did', async () => {
    const image = await loadFirmware(buildSource('sources/main-loop.c'), 'main-loop.wasm', how);
    const lamp: Lamp = { ...bareLamp, processor: { speed: 20e6, preemptive: true } };
    const simulation = new Simulation(lamp, healthyModel(lamp, 1), openFirmware(image));
    const said: number[] = [];
    simulation.listen((_, byte) => said.push(byte));
    simulation.setSource(48);
    simulation.setPower(true);
    simulation.deliver(0.0105, { link: 'console', byte: 's'.charCodeAt(0) });
    await simulation.runUntil(0.1);
    expect(String.fromCharCode(...said)).toBe('k');
    expect(simulation.dark()).toBe(false);
  });
});

/** What a lamp's outputs do while it fades, from its drive lines. */
async function drives(lamp: Lamp, bytes: Uint8Array, preemptible: boolean): Promise<unknown> {
  const image = await loadFirmware(bytes, 'alcove', { counted: true, preemptible });
  const simulation = new Simulation(lamp, healthyModel(lamp, 1), openFirmware(image));
  const said: string[] = [];
  simulation.listen((_, byte) => said.push(String.fromCharCode(byte)));
  simulation.setSource(48);
  simulation.setPower(true);
  const text = 'fade 200 dim 40 mix 100 50 25 12 6 3\r';
  for (const [index, letter] of [...text].entries())
    simulation.deliver(0.4 + index * 87e-6, { link: 'console', byte: letter.charCodeAt(0) });
  const story: unknown[] = [];
  for (let at = 0.4; at < 0.8; at += 1e-3) {
    await simulation.runUntil(at + 0.9e-3);
    story.push(simulation.outputs.map(({ line }) => line.present));
  }
  return [story, said.join('')];
}

test.each([
  ['ticks', buildAlcove()],
  ['a main loop', buildAlcoveMainLoop()],
])(
  'the example in C with %s does on a fast processor what it does without time',
  async (_, bytes) => {
    const fast: Lamp = { ...alcove, processor: { speed: 1e9, preemptive: true } };
    const [timed, timeless] = [await drives(fast, bytes, true), await drives(alcove, bytes, false)];
    expect(timed).toEqual(timeless);
  },
);
