import { describe, expect, it } from 'vitest';
import {
  arrivalSpread,
  startSpread,
} from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { curveDeviation } from '../../../harness/measure/metrics/fade/curve-deviation.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { fadeOvershoot } from '../../../harness/measure/metrics/fade/fade-overshoot.ts';
import { fadeStartDelay } from '../../../harness/measure/metrics/fade/fade-start-delay.ts';
import { fadeSynchrony } from '../../../harness/measure/metrics/fade/fade-synchrony.ts';
import { fadeUndershoot } from '../../../harness/measure/metrics/fade/fade-undershoot.ts';
import { largestVisibleStep } from '../../../harness/measure/metrics/fade/largest-visible-step.ts';
import { settlingTime } from '../../../harness/measure/metrics/fade/settling-time.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { type Channel, fade, lengthOf, levelAt, type Made, observe, recordOf } from '../lamp-of.ts';
import { expectLawsOfUnits } from '../laws-of-units.ts';

const linear = { kind: 'linear', bottom: 0.001 } as const;

/** A fade of 1 s that is late, bent, overshoots, falls back and settles slowly, so that no metric of it is 0. */
function faulty(channel: string, [start, end]: readonly [number, number], made: Made): Channel {
  const segments = fade(start, end, 1, { before: 0.5, after: 1 });
  const really = (t: number) => {
    const level = levelAt(segments, t - 0.03);
    const bump = 1 + 0.05 * Math.exp(-(((t - 1.1) / 0.1) ** 2));
    const after = t < 1.53 ? 0 : Math.exp(-(t - 1.53) / 0.06) * Math.sin((t - 1.53) / 0.02);
    return level * bump + 0.08 * (end - start) * after;
  };
  const waveform = recordOf(really, lengthOf(segments), { rate: 2048, ...made });
  return { channel, segments, waveform: { ...waveform, step: 2 ** -14 } };
}

const ways = [
  ['down', [0.75, 0.1]],
  ['up', [0.1, 0.75]],
  ['from the dark', [0, 0.75]],
] as const;

const scenes = ways.flatMap(([name, ends]) =>
  [undefined, linear].map((curve) => [name, curve?.kind ?? 'logarithmic', ends] as const),
);

function observed(channels: readonly Channel[], of: string, kind: string): Observation {
  const plain = observe(fadeDuration, channels, of);
  const commanded = { ...plain.commanded, standardInstant: 2e-3 };
  return { ...plain, commanded: kind === 'linear' ? { ...commanded, curve: linear } : commanded };
}

describe.each(scenes)('a faulty fade %s on a %s curve', (_, kind, ends) => {
  // Parameters of a time are given: 20 ms would not stretch.
  const parameters = { smoothing: 0.03125, band: 0.02, resolution: 0.0625, 'visible-noise': 0.02 };

  it.each([
    fadeDuration,
    fadeStartDelay,
    fadeOvershoot,
    fadeUndershoot,
    settlingTime,
    curveDeviation,
    largestVisibleStep,
  ])('has the same $id in every unit', (metric) => {
    const channel = faulty('warm', ends, { noise: 2e-4 });
    const observation = { ...observed([channel], 'warm', kind), parameters };
    expect(expectLawsOfUnits(metric, observation).measured).toBe(true);
  });

  // The spreads know a time of their own: of a millisecond all may be blur.
  const anyTime = [{ scale: 8 }, { later: 4 }];
  it.each([
    [arrivalSpread, anyTime],
    [startSpread, anyTime],
    [fadeSynchrony, [...anyTime, { time: 2 }]],
  ] as const)('has the same $0.id in every unit', (metric, laws) => {
    const channels = [
      faulty('warm', ends, { noise: 2e-4 }),
      faulty('cool', [0.5, 0.05], { noise: 2e-4, seed: 8 }),
    ];
    const observation = { ...observed(channels, 'lamp', kind), parameters };
    expect(expectLawsOfUnits(metric, observation, laws).measured).toBe(true);
  });
});
