import { modelChart } from '../../charts/model-chart.ts';
import {
  type Outside,
  openNotes,
  outsideNotes,
  outsideStretches,
} from '../../features/model/beyond-model.ts';
import { type HeldLight, heldLight } from '../../features/model/held-light.ts';
import { modelParameters } from '../../features/model/model-parameters.ts';
import type { Metric } from '../../metric.ts';
import { modelledLightNeed } from '../../needs.ts';
import { isMeasurable, measured } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';

/**
 * Longest time for which the light, averaged over `smoothing`, lies outside of what a model of the lamp allows with all that was sent to
 * it. Catches drop-outs, flashes, pauses, channels that part, wrong targets and wrong instants, whatever the stimulus was.
 * The model's bounds are widened by what the bench leaves open: five standard uncertainties of the noise of an average, two of the zero and
 * of the instants, a pulse of the modulator, and how well full light is known.
 * Inputs: LED current (A), or light (lx) with a reference window of steady light; at least 2 kS/s. Output: s, 0 where it never does.
 * Fooled by: light within the bounds, however wrong; events shorter than `smoothing`; the time for which the model says nothing, which
 * the notes give.
 * Not measurable: nobody knows what was sent, the model says nothing of the whole window, no full light to relate to.
 * Floor: `smoothing`. Source: common practice, no source; the model's own are in harness/model.
 */
export const timeOutsideModel: Metric = {
  id: 'time-outside-model',
  title: 'Longest time outside of the lamp model',
  family: 'control',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs: modelledLightNeed,
  parameters: modelParameters,
  source: 'model-lamp',
  // Noise is in the bounds, and what it makes of the length is stated: drawn anew from a lamp that goes out it would be the lamp's own.
  blindTo: ['noise'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const held = heldLight(observation);
    if (!isMeasurable(held)) return held;
    const { width } = held;
    const stretches = outsideStretches(held);
    const longest = longestOf(stretches, held);
    if (!evidence) return measured(longest ? Math.max(0, lengthOf(longest, held)) : 0);
    const noise = noiseOfLength(held, longest);
    const title = 'Light beside the lamp model';
    const shown = {
      charts: [modelChart(held, observation, longest?.worst ?? null, title)],
      notes: {
        ...(longest && outsideNotes(held, observation, longest.worst)),
        times: stretches.length,
        ...openNotes(held),
      },
    };
    const ofNoise = { name: 'noise of the averages', standard: noise, isNoise: true };
    if (!longest) return measured(0, shown, noise > 0 ? [ofNoise] : [], width);
    const open = openEnds(longest, held);
    return measured(
      Math.max(0, lengthOf(longest, held)),
      shown,
      [
        ofNoise,
        { name: 'flanks of the average', standard: width / 4 },
        { name: 'ends of the record', standard: (open * width) / 4 / Math.sqrt(3) },
      ],
      width,
    );
  },
};

function longestOf(stretches: readonly Outside[], held: HeldLight): Outside | null {
  return stretches.reduce<Outside | null>(
    (one, two) => (one && lengthOf(one, held) >= lengthOf(two, held) ? one : two),
    null,
  );
}

/** Few averages lie farther from their light than so many standard deviations of their noise. */
const farthest = 3;

/**
 * What noise makes of the length, standard uncertainty in s. Light at the bound comes and goes: with the bounds wider or narrower by what
 * noise makes of nearly every average it is outside all the time, or never. U holds the larger change.
 */
function noiseOfLength(held: HeldLight, longest: Outside | null): number {
  const length = longest ? lengthOf(longest, held) : 0;
  const changes = [farthest, -farthest].map((times) => {
    const other = longestOf(outsideStretches(held, times * held.noise), held);
    return Math.abs((other ? lengthOf(other, held) : 0) - length);
  });
  return Math.max(...changes) / 2;
}

/**
 * An average passes the bound when so much of an edge has come into it as the way to the bound is part of the whole way (closed form, for
 * steep edges and events as long as an average); the light was in the middle of what is allowed. No average lies nearer to the
 * record's end than half its width: the stretch ends somewhere in there.
 */
function lengthOf(outside: Outside, held: HeldLight): number {
  const { first, last, worst } = outside;
  const { light, low, high, least, most, spacing, width } = held;
  const found = valueAt(light, worst);
  const inside = (valueAt(low, worst) + valueAt(high, worst)) / 2;
  const bound = found > inside ? valueAt(most, worst) : valueAt(least, worst);
  const part = Math.min(1, Math.max(0, (bound - inside) / (found - inside)));
  const open = openEnds(outside, held);
  const seen = (last - first + 1) * spacing;
  return seen - ((2 - open) / 2) * width * (1 - 2 * part) + (open * width) / 4;
}

/** Of its ends, how many are those of the record. */
function openEnds({ first, last }: Outside, { times }: HeldLight): number {
  return (first === 0 ? 1 : 0) + (last === times.length - 1 ? 1 : 0);
}
