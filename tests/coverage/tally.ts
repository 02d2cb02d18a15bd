import type { Metric } from '../../harness/measure/metric.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { diceOf } from './dice.ts';
import type { Instrument } from './disturbances.ts';
import { realise } from './realise.ts';
import type { MakeScene, Scene } from './scene.ts';

/** What became of many simulated measurements. Parts are of those that gave a value. */
export interface Tally {
  readonly runs: number;
  readonly measured: number;
  /** Part of the intervals value ± U that hold the truth. */
  readonly covered: number;
  /** Part of the truths that lie above value + U: what a false pass is made of. */
  readonly above: number;
  /** Mean U over the root mean square error. */
  readonly width: number;
  /** Part of the squares of U that is what the record could not have shown. */
  readonly floor: number;
  /** Root mean square error over the mean truth. */
  readonly error: number;
  /** Why the others gave none, the most frequent reason. */
  readonly refused?: string;
}

function ideal(metric: Metric, scene: Scene): number {
  const { observation } = realise(metric, scene, { white: 0 }, diceOf(1));
  const outcome = metric.compute(observation, { evidence: false });
  return outcome.measured ? outcome.value : Number.NaN;
}

/** Errors below this part of the value are the computation's rounding. */
const rounding = 1e-9;

export function tally(
  metric: Metric,
  make: MakeScene,
  instrument: Instrument,
  wanted: number,
): Tally {
  const runs = Math.max(10, Math.round(wanted * (make(diceOf(0)).runs ?? 1)));
  const reasons = new Map<string, number>();
  let [measured, covered, above, squares, expandeds, truths] = [0, 0, 0, 0, 0, 0];
  let [hiddens, wholes] = [0, 0];
  for (let run = 0; run < runs; run++) {
    const dice = diceOf(7919 * run + 17);
    const scene = make(dice);
    const { observation, calibration } = realise(metric, scene, instrument, dice);
    const assessed = assess(metric, observation, calibration, 2);
    if (!('expanded' in assessed)) {
      const { reason, note } = assessed.outcome;
      const why = note === undefined ? reason : `${reason}: ${note}`;
      reasons.set(why, (reasons.get(why) ?? 0) + 1);
      continue;
    }
    const { outcome, expanded, contributions } = assessed;
    const truth = scene.truth === 'of the ideal record' ? ideal(metric, scene) : scene.truth;
    const error = outcome.value - truth;
    const slack = rounding * Math.abs(truth);
    measured++;
    if (Math.abs(error) <= expanded + slack) covered++;
    if (-error > expanded + slack) above++;
    squares += error * error;
    expandeds += expanded;
    wholes += expanded * expanded;
    for (const { name, standard } of contributions)
      if (name === 'what the record cannot show') hiddens += (2 * standard) ** 2;
    truths += Math.abs(truth);
  }
  const [refused] = [...reasons].sort(([, a], [, b]) => b - a)[0] ?? [];
  const rms = Math.sqrt(squares / measured);
  return {
    runs,
    measured,
    covered: covered / measured,
    above: above / measured,
    width: expandeds / measured / rms,
    floor: hiddens / wholes,
    error: (rms * measured) / truths,
    ...(refused !== undefined && { refused }),
  };
}
