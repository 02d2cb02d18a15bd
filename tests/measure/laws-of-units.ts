import { expect } from 'vitest';
import { signalRecord } from '../../harness/measure/analysis/signal-record.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation, Window } from '../../harness/measure/observation.ts';
import type { Outcome } from '../../harness/measure/outcome.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';
import { wellFormed } from './well-formed.ts';

/** The same story told otherwise: light or current in a unit `scale` times smaller, time in one `time` times smaller, and from `later` on. */
interface Told {
  readonly scale?: number;
  readonly time?: number;
  /** s, in the new unit. */
  readonly later?: number;
}

/**
 * Dimensional analysis: who tells the same in other units, or starts the clock elsewhere, gets the same value, uncertainties and
 * floor in those units, or the same refusal. Powers of two leave each sample exact, and so nothing to doubt.
 *
 * @param laws those that hold for the metric: one with a frequency or a time of its own does not hold in stretched time
 */
export function expectLawsOfUnits(
  metric: Metric,
  observation: Observation,
  laws: readonly Told[] = [{ scale: 8 }, { time: 2 }, { later: 4 }],
): Outcome {
  const outcome = wellFormed(metric, observation);
  for (const law of laws) {
    const other = wellFormed(metric, told(metric, observation, law));
    const said = `${metric.id} ${JSON.stringify(law)}`;
    expectAlike(other, outcome, (unit) => factorOf(unit, observation, law), {
      ...metric,
      id: said,
    });
  }
  return outcome;
}

function expectAlike(
  other: Outcome,
  outcome: Outcome,
  factor: (unit: string) => number,
  { id, unit }: Metric,
): void {
  if (!outcome.measured || !other.measured) {
    expect(inWords(other), id).toMatchObject({ ...inWords(outcome), ...rescaled(outcome, factor) });
    return;
  }
  const figures = (one: typeof outcome): Record<string, number> =>
    Object.fromEntries([
      ['value', one.value],
      ['floor', one.floor ?? 0],
      ...one.contributions.map(({ name, standard }) => [name, standard]),
    ]);
  const [own, others] = [figures(outcome), figures(other)];
  expect(Object.keys(others), id).toEqual(Object.keys(own));
  const largest = Math.max(...Object.values(own).map(Math.abs));
  for (const [name, figure] of Object.entries(own)) {
    const apart = Math.abs((others[name] ?? Number.NaN) / factor(unit) - figure);
    expect(apart, `${id}: ${name}`).toBeLessThan(1e-5 * Math.abs(figure) + 1e-8 * largest + 1e-13);
  }
}

/** Notes name instants: those are told otherwise. */
function inWords(outcome: Outcome): object {
  if (outcome.measured) return { measured: true };
  return { ...outcome, note: outcome.note?.replace(/[\d.]+/g, '…') };
}

function rescaled(outcome: Outcome, factor: (unit: string) => number): object {
  if (outcome.measured) return {};
  const { found, needed, unit = '1' } = outcome;
  return {
    ...(found !== undefined && { found: expect.closeTo(found * factor(unit), 6) }),
    ...(needed !== undefined && { needed: expect.closeTo(needed * factor(unit), 6) }),
  };
}

/** By how much figures in a unit become larger. */
function factorOf(unit: string, { records }: Observation, { scale = 1, time = 1 }: Told): number {
  if (unit === 's') return time;
  if (unit === 'Hz' || unit === '1/s') return 1 / time;
  return records.some(({ waveform }) => waveform.unit === unit) ? scale : 1;
}

function told(metric: Metric, observation: Observation, law: Told): Observation {
  const { time = 1, later = 0, scale = 1 } = law;
  const at = (instant: number) => time * instant + later;
  const moved = <T extends Window>(one: T): T => ({ ...one, from: at(one.from), to: at(one.to) });
  const { commanded, reference } = observation;
  return {
    ...observation,
    window: moved(observation.window),
    ...(reference && { reference: moved(reference) }),
    records: observation.records.map((record) =>
      signalRecord(record, toldWaveform(record.waveform, law)),
    ),
    commanded: {
      ...commanded,
      duration: at(commanded.duration),
      marks: commanded.marks.map((mark) => ({ ...mark, at: at(mark.at) })),
      channels: commanded.channels.map((channel) => ({
        ...channel,
        maxCurrent: scale * channel.maxCurrent,
        segments: channel.segments.map(moved),
      })),
      ...(commanded.standardInstant !== undefined && {
        standardInstant: time * commanded.standardInstant,
      }),
    },
    parameters: Object.fromEntries(
      Object.entries(observation.parameters).map(([name, value]) => [
        name,
        toldParameter(metric, name, value, law),
      ]),
    ),
  };
}

function toldParameter(
  metric: Metric,
  name: string,
  value: number | string,
  { time = 1, scale = 1 }: Told,
): number | string {
  const kind = metric.parameters.find((each) => each.name === name)?.kind;
  if (typeof value === 'string' || typeof kind !== 'string') return value;
  if (kind === 'time') return value * time;
  if (kind === 'frequency') return value / time;
  return kind === 'current' || kind === 'illuminance' ? value * scale : value;
}

function toldWaveform(waveform: Waveform, { time = 1, later = 0, scale = 1 }: Told): Waveform {
  const { range, step, bandwidth, dark, rate, start, samples } = waveform;
  return {
    ...waveform,
    samples: samples.map((value) => scale * value),
    rate: rate / time,
    start: time * start + later,
    ...(range && { range: { low: scale * range.low, high: scale * range.high } }),
    ...(step !== undefined && { step: scale * step }),
    ...(bandwidth !== undefined && { bandwidth: bandwidth / time }),
    ...(dark && {
      dark: {
        // Power over frequency: a density of slow / f has the same `slow` on any clock.
        slow: scale ** 2 * dark.slow,
        lines: dark.lines.map((line) => ({
          frequency: line.frequency / time,
          amplitude: scale * line.amplitude,
        })),
        drift: (scale * dark.drift) / time,
      },
    }),
  };
}
