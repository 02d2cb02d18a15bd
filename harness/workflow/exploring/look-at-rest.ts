import type { Plant } from '../../../drivers/plant/plant.ts';
import { meanCurrents } from '../../../drivers/plant/sensors/mean-currents.ts';
import { lightSource, sourceOf } from '../../../drivers/plant/sensors/sources.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Deviation } from '../../explore/deviation.ts';
import { restColour } from '../../explore/rest-colour.ts';
import { type RestingLight, type RestLook, restLooks } from '../../explore/rest-looks.ts';
import type { Observation, SignalRecord } from '../../measure/observation.ts';
import type { Signal } from '../../measure/signals.ts';
import type { ModelStory } from '../../model/model-lamp.ts';

/** s that a light has to stand still before it is looked at, and that its colour is averaged over. */
const settling = 0.1;
const integration = 0.1;

/** What is wrong with the light that rests at the end of a story; null where nothing is, or where it does not rest. */
export function restDeviation(plant: Plant, story: ModelStory, until: number): Deviation | null {
  const since = until - integration - settling;
  const rest = story.restAt(since);
  if (!rest || !restsOver(story, plant.lamp, since, until)) return null;
  const colour = restColour(plant.lamp, restingChannels(plant, until - integration), rest.mirek);
  if (colour) return colour;
  for (const look of restLooks) {
    const from = until - look.lasts;
    if (!restsOver(story, plant.lamp, from - settling, until)) continue;
    const wrong = looked(plant, look, from, restingLight(plant, story, from));
    if (wrong) return wrong;
  }
  return null;
}

/** It rests at both ends, and nothing has moved it between. */
function restsOver(story: ModelStory, { channels }: Lamp, from: number, to: number): boolean {
  const led = channels.every(
    ({ channel }) => story.leadAt(channel, from) === story.leadAt(channel, to),
  );
  const [first, last] = [story.restAt(from), story.restAt(to)];
  return led && first !== null && last !== null && first.mirek === last.mirek;
}

function restingChannels(plant: Plant, from: number) {
  const currents = meanCurrents(plant, { from, count: 1, step: integration });
  return plant.lamp.channels.map((_, channel) => {
    const mean = (component: 'X' | 'Y' | 'Z'): number => {
      const samples = new Float32Array(1);
      lightSource(plant, component, channel).fill({ samples, t0: from, dt: integration });
      return samples[0] ?? 0;
    };
    const light = { X: mean('X'), Y: mean('Y'), Z: mean('Z') };
    return { current: currents[channel]?.[0] ?? 0, light };
  });
}

/** Of all channels together, by their light. */
function restingLight({ lamp }: Plant, story: ModelStory, at: number): RestingLight {
  const total = lamp.channels.reduce((sum, { lumen }) => sum + lumen, 0);
  const sum = (end: 'low' | 'high') =>
    lamp.channels.reduce(
      (all, { channel, lumen }) => all + (lumen * story.levelAt(channel, at)[end]) / total,
      0,
    );
  return { lowest: sum('low'), highest: sum('high') };
}

function looked(plant: Plant, look: RestLook, from: number, light: RestingLight): Deviation | null {
  const { metric, lasts, atMost = Number.POSITIVE_INFINITY, atLeast = 0 } = look;
  if (!look.fits(light, plant.lamp)) return null;
  const records = look.signals.map((signal) => recordOf(plant, signal, look, from));
  const parameters = Object.fromEntries(
    metric.parameters.map((own) => [own.name, own.default ?? 0]),
  );
  const observation: Observation = {
    of: look.signals.includes('light') ? 'light' : 'lamp',
    window: { from, to: from + lasts },
    records,
    colour: [],
    frames: [],
    commanded: { channels: [], marks: [], duration: from + lasts, curve: plant.lamp.curve },
    parameters,
  };
  const outcome = metric.compute(observation, { evidence: false });
  if (!outcome.measured || (outcome.value <= atMost && outcome.value >= atLeast)) return null;
  const limit = atLeast > 0 ? `at least ${atLeast}` : `at most ${atMost}`;
  return {
    kind: 'finding',
    what: `${metric.id} at rest`,
    reason: `${metric.title}: ${Number(outcome.value.toPrecision(3))} from ${from.toFixed(3)} s on, where ${limit} is allowed (SI).`,
  };
}

function recordOf(
  plant: Plant,
  signal: Signal,
  { rate, lasts }: RestLook,
  from: number,
): SignalRecord {
  const length = Math.round(rate * lasts);
  const samples = new Float32Array(length);
  sourceOf(plant, { signal }, null)?.fill({ samples, t0: from, dt: 1 / rate });
  const sampling = { rate, start: from, length };
  const waveform = {
    samples,
    rate,
    start: from,
    unit: unitOf(signal),
    clipped: 0,
    means: true,
  } as const;
  return { capture: signal, signal, of: signal, sampling, waveform };
}

function unitOf(signal: Signal): 'lx' | 'A' | 'V' {
  if (signal === 'light') return 'lx';
  return signal.endsWith('voltage') ? 'V' : 'A';
}
