import type { Firmware, LampHardware } from '../../../../drivers/plant/firmware/firmware.ts';
import { openPlantBench, type PlantBenchOptions } from '../../../../drivers/plant/plant-bench.ts';
import type { PlantRig, PlantSettings } from '../../../../drivers/plant/plant-driver.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import type {
  Call,
  Camera,
  ColourSensor,
  Digitiser,
  LampLink,
  OpenBench,
  RawCapture,
  Supply,
} from '../../../../harness/bench/ports.ts';
import type { RigInstrument, Wire } from '../../../../harness/bench/rig.ts';

/** Two channels on 48 V with a linear sink and slow pulse density, so that single bits are easy to see. */
export const bareLamp: Lamp = {
  lamp: 'bare',
  maker: 'Halden Display Lighting',
  about: 'two channels for tests of the plant',
  channels: [
    { channel: 'warm', lumen: 600, xy: [0.4578, 0.4101], maxCurrent: 0.7, forwardVoltage: 33 },
    { channel: 'red', lumen: 200, xy: [0.6956, 0.3043], maxCurrent: 0.5, forwardVoltage: 20 },
  ],
  curve: { kind: 'logarithmic', bottom: 0.001 },
  mixes: {},
  modulation: { kind: 'pulse-density', bits: 16, clock: 1e6 },
  stage: { kind: 'linear', riseTime: 8e-9, fallTime: 8e-9 },
  supply: {
    kind: 'dc',
    nominal: 48,
    low: 44,
    high: 52,
    standby: 0.3,
    inputCapacitance: 220e-6,
    inrushResistance: 10,
  },
  links: {
    console: {
      baud: 115200,
      set: 'dim {level} mix {intensities}',
      fade: 'fade {milliseconds} dim {level} mix {intensities}',
      off: 'off',
      reset: 'restart',
      identify: 'who',
      ok: 'ok',
    },
  },
  startUp: 0.05,
};

function wire(signal: Wire['signal'], of: string, input: string, given: Partial<Wire> = {}): Wire {
  return {
    signal,
    of,
    instrument: 'digitiser',
    input,
    scale: 1,
    offset: 0,
    unit: 'V',
    standardScale: 0,
    standardOffset: 0,
    noise: 0,
    bandwidth: 1e9,
    bits: 24,
    fullScale: 10,
    ...given,
  };
}

function instrument(name: string, settings: PlantSettings): RigInstrument<PlantSettings> {
  return { name, driver: 'plant', identity: {}, limits: {}, settings, deadline: 5, retries: 0 };
}

/** A rig whose instruments are perfect unless a test says otherwise. */
export const perfectRig: PlantRig = {
  rig: 'perfect',
  about: 'instruments without errors',
  place: 'simulated',
  instruments: [
    instrument('digitiser', { kind: 'digitiser' }),
    instrument('sensor', { kind: 'colour-sensor', 'standard-xy': 0, 'noise-xy': 0 }),
    instrument('camera', { kind: 'camera', rows: 1080, 'line-time': 15e-6, 'row-noise': 0 }),
    instrument('supply', { kind: 'supply' }),
    instrument('console', { kind: 'lamp-link', link: 'console' }),
  ],
  wiring: [
    wire('light', 'all', 'light', { unit: 'lx', fullScale: 2000 }),
    wire('channel-current', 'each', 'current-1', { unit: 'A', fullScale: 1 }),
    wire('channel-current', 'each', 'current-2', { unit: 'A', fullScale: 1 }),
    wire('supply-current', 'all', 'supply-current', { unit: 'A' }),
    wire('supply-voltage', 'all', 'supply-voltage', { fullScale: 100 }),
    wire('sync', 'all', 'sync'),
    wire('busy', 'all', 'busy'),
    wire('mains-voltage', 'all', 'mains-voltage', { fullScale: 500 }),
    wire('mains-current', 'all', 'mains-current', { unit: 'A' }),
    wire('colour', 'all', 'head', { instrument: 'sensor', unit: 'lx', fullScale: 2000 }),
    wire('frame', 'all', 'chip', { instrument: 'camera', unit: 'lx', fullScale: 2000 }),
  ],
  links: { console: 'console' },
  supply: { instrument: 'supply', highestVolts: 264, highestAmps: 10 },
  safe: { lamp: 'off', supply: 'off', within: 5 },
  decision: { rule: 'simple', coverageFactor: 2 },
  calibrationPolicy: 'warn',
  warmUp: 0,
  ambient: 25,
};

/** Firmware that does one thing at start and then sleeps. */
export function playing(play: (hardware: LampHardware) => void): () => Firmware {
  return () => ({
    name: 'test',
    kind: 'test',
    digest: null,
    start: play,
    tick: () => true,
    receive: () => {},
    dispose: () => {},
  });
}

/** Every channel set up as the lamp file says, at the given relative drives. */
export function steady(lamp: Lamp, drives: readonly number[]): () => Firmware {
  return playing((hardware) => {
    lamp.channels.forEach(({ maxCurrent }, channel) => {
      const { modulation } = lamp;
      hardware.setModulator(
        channel,
        modulation.kind === 'pwm'
          ? { ...modulation, phase: modulation.phaseShift * channel }
          : modulation,
      );
      hardware.setPeakCurrent(channel, maxCurrent);
      hardware.setDrive(channel, Math.round(drives[channel]! * 2 ** modulation.bits));
    });
  });
}

export interface TestBench {
  readonly bench: OpenBench;
  readonly digitiser: Digitiser;
  readonly sensor: ColourSensor;
  readonly camera: Camera;
  readonly supply: Supply;
  readonly console: LampLink;
}

export const signal = new AbortController().signal;
export const call: Call = { signal, deadline: 5 };

/** An open bench whose lamp has had power since instant 0; the clock stands at `at`. */
export async function testBench(
  options: Partial<PlantBenchOptions> = {},
  at = 0.06,
): Promise<TestBench> {
  const lamp = options.lamp ?? bareLamp;
  const bench = await openPlantBench({
    lamp,
    rig: perfectRig,
    seed: 1,
    lampSeed: 1,
    faults: [],
    ...options,
  });
  const named = <T>(name: string): T => bench.instruments.get(name) as unknown as T;
  const supply = named<Supply>('supply');
  await supply.set({ volts: lamp.supply.nominal }, call);
  await supply.output(true, call);
  if (at > 0) await bench.clock.waitUntil(at, signal);
  return {
    bench,
    supply,
    digitiser: named('digitiser'),
    sensor: named('sensor'),
    camera: named('camera'),
    console: named('console'),
  };
}

/** One input recorded from now on, in the wire's unit (scale 1). */
export async function recorded(
  { digitiser }: TestBench,
  input: string,
  rate: number,
  duration: number,
): Promise<Float64Array> {
  const { finished } = await digitiser.arm({ inputs: [{ input }], rate, duration }, call);
  const [capture] = await finished;
  return volts(capture!);
}

export function volts({ codes, scale, offset }: RawCapture): Float64Array {
  return Float64Array.from(codes, (code) => code * scale + offset);
}

export function mean(values: ArrayLike<number>): number {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += values[k]!;
  return sum / values.length;
}
