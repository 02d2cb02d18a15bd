import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { driverSettings } from '../../../drivers/registry.ts';
import { BenchError } from '../../../harness/bench/errors.ts';
import { readLamp } from '../../../harness/bench/lamp-file.ts';
import type { Digitiser, OpenBench } from '../../../harness/bench/ports.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import type { CaptureRequest } from '../../../harness/plan/plan.ts';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import type { ConditionResult, ConditionTask } from '../../../harness/run/engine/lane.ts';

const readenLamp = readLamp(readFileSync('specs/lamps/alcove-6.lamp.yaml', 'utf8'), 'lamp');
const readenRig = readRig(
  readFileSync('specs/rigs/simulated.rig.yaml', 'utf8'),
  'rig',
  driverSettings,
);
if (!('lamp' in readenLamp) || !('rig' in readenRig)) throw new Error('the shipped files are bad');
const { lamp } = readenLamp;
const { rig: whole } = readenRig;

/** Every channel at an intensity of its own, so that a record of the wrong one is seen. */
const intensities = { warm: 0.9, cool: 0.8, red: 0.7, lime: 0.6, cyan: 0.5, indigo: 0.4 };

function rigWith(inputs: number): Rig {
  const current = whole.wiring.filter(({ signal }) => signal === 'channel-current');
  const rest = whole.wiring.filter(({ signal }) => signal !== 'channel-current');
  return { ...whole, wiring: [...current.slice(0, inputs), ...rest] };
}

async function ran(
  rig: Rig,
  opened: (bench: OpenBench) => OpenBench = (bench) => bench,
  more: readonly CaptureRequest[] = [],
) {
  const task: ConditionTask = {
    spec: 'every-channel',
    condition: {
      key: '',
      values: {},
      stimulus: [
        { verb: 'set', level: 1, mix: { intensities } },
        { verb: 'hold', time: 0.1 },
        { verb: 'mark', name: 'steady' },
        { verb: 'hold', time: 0.1 },
      ],
      captures: [
        { signal: 'channel-current', of: 'each-channel', rate: 5000, during: 'steady' },
        ...more,
      ],
      criteria: [],
    },
    position: 1,
    repeat: 0,
    lamp,
    rig,
    seed: 7,
    lampSeed: 7,
    faults: [],
  };
  const open = async () =>
    opened(await openPlantBench({ lamp, rig, seed: 7, lampSeed: 7, faults: [] }));
  const signal = new AbortController().signal;
  const wall = { wallNow: () => '2026-01-01T00:00:00Z' };
  return runCondition(task, open, signal, wall);
}

async function currents(rig: Rig): Promise<ReadonlyMap<string, number>> {
  return meansOf(await ran(rig));
}

/** The same bench with a digitiser whose inputs are where they are. */
function withoutSwitch(bench: OpenBench): OpenBench {
  const digitiser = bench.instruments.get('digitiser') as Digitiser;
  const { switches: _, ...capabilities } = digitiser.capabilities;
  const fixed = Object.create(digitiser, { capabilities: { value: capabilities } });
  return { ...bench, instruments: new Map([...bench.instruments, ['digitiser', fixed]]) };
}

function meansOf({ condition, captures }: ConditionResult): ReadonlyMap<string, number> {
  expect(condition.reason).toBeNull();
  return new Map(
    condition.captures.map(({ id, of, scale, offset }) => {
      const { codes } = captures.get(id)!;
      const sum = Array.from(codes).reduce((total, code) => total + code, 0);
      return [of, (sum / codes.length) * scale + offset];
    }),
  );
}

describe('a digitiser with fewer inputs than the lamp has channels', () => {
  it('is switched to the channels in turn, and each record is of its own channel', async () => {
    const [one, few] = [await currents(rigWith(9)), await currents(rigWith(4))];
    expect([...few.keys()]).toEqual(lamp.channels.map(({ channel }) => channel));
    for (const { channel, maxCurrent } of lamp.channels) {
      // Mean current of a linear stage: full current times the share of time that it is on (computed).
      const expected = maxCurrent * intensities[channel as keyof typeof intensities];
      expect(Math.abs(few.get(channel)! / expected - 1)).toBeLessThan(0.06);
      expect(Math.abs(few.get(channel)! / one.get(channel)! - 1)).toBeLessThan(0.01);
    }
  });

  it('is switched as well where the rig file names the channels of one input', async () => {
    const [first] = whole.wiring.filter(({ signal }) => signal === 'channel-current');
    const wiring = lamp.channels.map(({ channel }) => ({ ...first!, of: channel }));
    const few = await currents({ ...whole, wiring });
    const one = await currents(rigWith(9));
    for (const { channel } of lamp.channels)
      expect(Math.abs(few.get(channel)! / one.get(channel)! - 1)).toBeLessThan(0.01);
  });

  it('ends the condition as a bench error where its inputs cannot be switched', async () => {
    const { condition } = await ran(rigWith(4), withoutSwitch);
    expect(condition.verdict).toBe('error');
    expect(condition.reason).toContain('cannot switch its inputs; wire one to each channel');
    expect((await ran(rigWith(9), withoutSwitch)).condition.reason).toBeNull();
  });
});

describe('a digitiser that takes one record at a time', () => {
  const single: Rig = {
    ...whole,
    instruments: whole.instruments.map((entry) =>
      entry.name === 'digitiser'
        ? { ...entry, limits: { ...entry.limits, oneRecord: true } }
        : entry,
    ),
  };
  const light: CaptureRequest = { signal: 'light', of: 'light', rate: 20_000 };

  /** The same bench with a digitiser that is still at one record for as long as it lasts. */
  function refusing(bench: OpenBench): OpenBench {
    const digitiser = bench.instruments.get('digitiser') as Digitiser;
    let until = 0;
    const arm: Digitiser['arm'] = (setup, call) => {
      if (bench.clock.now() < until - 1e-9)
        throw new BenchError('unsupported', 'digitiser', 'at a record');
      until = bench.clock.now() + setup.duration;
      return digitiser.arm(setup, call);
    };
    const busy = Object.create(digitiser, { arm: { value: arm } });
    return { ...bench, instruments: new Map([...bench.instruments, ['digitiser', busy]]) };
  }

  it('takes overlapping records of two rates in a pass each, on one time line', async () => {
    const taken = await ran(single, refusing, [light]);
    const free = await ran(whole, undefined, [light]);
    const [apart, together] = [meansOf(taken), meansOf(free)];
    expect([...apart.keys()]).toEqual([...together.keys()]);
    for (const [of, mean] of together)
      expect(Math.abs(apart.get(of)! / mean - 1)).toBeLessThan(0.01);
    const places = taken.condition.captures.map(({ rate, start }) => ({ rate, start }));
    expect(places).toEqual(free.condition.captures.map(({ rate, start }) => ({ rate, start })));
    expect(taken.condition.captures.every(({ taken: how }) => how === 'multiplexed')).toBe(true);
    expect((await ran(whole, refusing, [light])).condition.verdict).toBe('error');
  });
});
