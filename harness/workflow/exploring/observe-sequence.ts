import { type CountedImage, EdgeCoverage } from '../../../drivers/plant/firmware/edge-coverage.ts';
import type { Plant } from '../../../drivers/plant/plant.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { meanCurrents } from '../../../drivers/plant/sensors/mean-currents.ts';
import type { Heard } from '../../bench/heard.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { inOrder } from '../../explore/in-order.ts';
import { lookedAt } from '../../explore/looked-at.ts';
import type { SaidByte } from '../../explore/wrong-answer.ts';
import type { Step } from '../../plan/verbs/verbs.ts';
import { runCondition } from '../../run/condition/run-condition.ts';
import { wallClock } from '../wall-clock.ts';

/** A simulated lamp to be tried, and how. */
export interface TriedLamp {
  readonly lamp: Lamp;
  readonly rig: Rig;
  /** Of the lamp's component values. */
  readonly lampSeed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
  readonly firmware?: CountedImage | undefined;
  /** See PlantBenchOptions. */
  readonly heartbeat?: SharedArrayBuffer | undefined;
}

/** Mean currents, relative to the nominal ones, by channel, from an instant on, s. */
interface Look {
  readonly from: number;
  readonly currents: readonly Float32Array[];
}

/** All that was seen of a lamp while a sequence was carried out; s since it was first given power. */
export interface SeenSequence {
  readonly heard: readonly Heard[];
  readonly said: readonly SaidByte[];
  readonly looks: readonly Look[];
  /** s that each mean covers. */
  readonly step: number;
  readonly until: number;
  /** How often each edge of the firmware's control flow was passed; empty for the reference firmware. */
  readonly edges: Uint8Array;
  /** The lamp, to be looked at more closely. */
  readonly plant: Plant;
  /** In words, where the lamp's firmware did not come to the end. */
  readonly brokeDown: string | null;
}

/** Carries out steps on a fresh simulated lamp that somebody looks at from all sides; null where none of them is for it. */
export async function observeSequence(
  steps: readonly Step[],
  tried: TriedLamp,
  seed: number,
  signal: AbortSignal,
): Promise<SeenSequence | null> {
  const { lamp, rig, lampSeed, faults, firmware, heartbeat } = tried;
  const heard: Heard[] = [];
  const said: SaidByte[] = [];
  const seen: { plant: Plant | null } = { plant: null };
  const onlooker = {
    heard: (event: Heard) => void heard.push(event),
    opened: (plant: Plant) => {
      seen.plant = plant;
      plant.simulation.listen((link, byte, at) => said.push({ link, byte, at }));
    },
  };
  const condition = { key: '', values: {}, stimulus: steps, captures: [], criteria: [] };
  const task = { spec: 'explored', condition, position: 1, repeat: 0, seed, lampSeed };
  const coverage = firmware ? new EdgeCoverage(firmware, heartbeat) : null;
  const build = coverage ? () => coverage.firmware : undefined;
  const open = () =>
    openPlantBench({ lamp, rig, seed, lampSeed, faults, firmware: build, onlooker });
  const ended = await runCondition({ ...task, lamp, rig, faults }, open, signal, {
    wallNow: wallClock.now,
  });
  const { plant } = seen;
  // Nothing of it is for this lamp.
  if (!plant && ended.condition.verdict === 'not run') return null;
  if (!plant) throw new Error(`the simulated lamp did not start: ${ended.condition.reason}`);
  const until = plant.simulation.now();
  const step = stretch(lamp);
  const { verdict, reason } = ended.condition;
  // What is still on its way has not arrived.
  const events = inOrder(heard.filter(({ at }) => at <= until));
  const looks = lookedAt(events, until, step).map(({ from, count }) => ({
    from,
    currents: meanCurrents(plant, { from, count, step }),
  }));
  return {
    heard: events,
    said,
    looks,
    edges: coverage?.reached() ?? new Uint8Array(),
    step,
    until,
    plant,
    brokeDown: verdict === 'fail' ? (reason ?? verdict) : null,
  };
}

/** s: about a millisecond, and whole periods of the modulator, whose beat would otherwise look like light. */
function stretch({ modulation }: Lamp): number {
  if (modulation.kind !== 'pwm') return 1e-3;
  return Math.ceil(1e-3 * modulation.frequency) / modulation.frequency;
}
