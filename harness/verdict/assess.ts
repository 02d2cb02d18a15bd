import { type Disturbance, disturb } from '../measure/analysis/disturb.ts';
import { noteReads } from '../measure/analysis/note-reads.ts';
import { signalRecord } from '../measure/analysis/signal-record.ts';
import type { CaptureId, Observation } from '../measure/observation.ts';
import type { Contribution, Measured, NotMeasurable, Outcome } from '../measure/outcome.ts';
import { isMeasurable, notMeasurable } from '../measure/outcome.ts';
import { seedOfFigures } from '../measure/signal/seeded-noise.ts';
import { borneOut, instantErrors, mayHaveBegunLate, withInstant } from './instant-errors.ts';
import type { KnownInput } from './known-input.ts';
import { randomDisturbance, randomErrors } from './random-errors.ts';
import { bothWays, type NoiseDoubt, negligible, realisations } from './realisations.ts';
import { type SystematicError, systematicErrors } from './systematic-errors.ts';
import type { Assess, InputCalibration } from './uncertainty.ts';
import { verdictOfUnmeasurable } from './unmeasurable.ts';
import { usableInputs } from './usable-inputs.ts';
import { WayDoubt } from './way-doubt.ts';

/**
 * A metric's value with its expanded uncertainty.
 *
 * Every error of the calibration is given to the records at plus and at minus one standard uncertainty and the metric is
 * computed again: the root mean square of the two changes is that error's contribution, c_i u_i. (For a smooth quantity
 * this is the central difference; at a kink, such as a distance near zero, it does not vanish as the difference would.)
 * Inputs that share an error are moved together. Where the instants of commands or records are not known, the records are moved
 * against the time line as well (`instant-errors.ts`). Noise and quantisation, which differ from sample to sample, are added
 * in a few seeded realisations, fewer where the verdict is settled. The metric's own contributions join the sum: u_c = sqrt(sum (c_i u_i)^2), U = k u_c.
 * They come from the scatter of the very record that holds the noise, so of the noise only what goes beyond them counts;
 * a metric whose contributions hold all of it (`statesNoise`) is not computed with noise at all.
 *
 * Inputs: an observation in SI; standard uncertainties (k = 1) per record; coverage factor k > 0.
 * Output: U and the contributions in the metric's unit. The same input always gives the same output.
 * Not measurable: when the metric says so, and also when an error of one standard uncertainty either way makes it say so.
 * Source: JCGM 100:2008 clause 5.1 (sensitivity by finite difference: 5.1.3 note 2), G.3 (few realisations);
 * JCGM 101:2008 for the propagation of noise by realisations. Clause numbers from memory.
 */
export const assess: Assess = (
  metric,
  observed,
  calibration,
  coverageFactor,
  settled = () => false,
) => {
  const observation = withDarkWiring(observed, calibration);
  const reads = noteReads(observation);
  const outcome = metric.compute(reads.observation);
  // What the metric did not read cannot move its value: the budget saves those runs.
  const captures = capturesOf(observation).filter((capture) => reads.read.has(capture));
  const anew = (moved: Observation): Outcome => metric.compute(moved, { evidence: false });
  const read = calibration.filter(({ capture }) => captures.includes(capture));
  if (!outcome.measured) return { outcome: borneOut(outcome, observation, read, anew), captures };
  if (!Number.isFinite(outcome.value)) return { outcome: notMeasurable('not-finite'), captures };

  const inputs =
    mayHaveBegunLate(observation, read) ?? usableInputs(metric, observation, read, coverageFactor);
  if (!isMeasurable(inputs)) return { outcome: inputs, captures };
  const instants = instantErrors(outcome, observation, inputs, anew);
  if (!isMeasurable(instants))
    return { outcome: lost(instants, 'instants of commands and records'), captures };
  const contributions = withInstant(outcome.contributions, instants);
  const again: Again = (select) =>
    metric.compute(
      disturb(observation, (capture) => {
        const input = inputs.find((each) => each.capture === capture);
        return input && select(input);
      }),
      { evidence: false },
    );

  const way = new WayDoubt(outcome);
  const parts = systematicParts(outcome, systematicErrors(metric, inputs), (select) =>
    way.count(again(select)),
  );
  if (!isMeasurable(parts)) return { outcome: parts, captures };
  contributions.push(...parts);

  const scatter = randomErrors(metric, inputs, observation);
  if (scatter.length > 0) {
    const seen = combined(outcome.contributions.filter(({ isNoise }) => isNoise));
    const known = Math.max(seen, negligible * combined(contributions));
    const seed = seedOfFigures(fingerprint(observation));
    const others = combined(contributions);
    const enough = (noise: number, runs: number, atMost: number): boolean =>
      atMost <= known ||
      // One run gives too wide an uncertainty to be told to anybody.
      (runs > 1 && settled(outcome.value, coverageFactor * Math.hypot(others, noise)));
    const noise = realisations(outcome, enough, (run, times) =>
      again((input) => randomDisturbance(scatter, input, seed + run, times)),
    );
    if (!isMeasurable(noise)) return { outcome: lost(noise, 'noise'), captures };
    contributions.push(...noiseParts(noise, seen));
  }
  contributions.push(...hiddenPart(outcome, coverageFactor));
  const expanded = coverageFactor * combined(contributions);
  return { outcome: withNotes(outcome, inputs, way), captures, contributions, expanded };
};

/** What noise does beyond the part of it that the metric itself has `seen`, apart for what differs in another measurement and what does not. */
function noiseParts(
  { scatter, allowance, oneSided }: NoiseDoubt,
  seen: number,
): readonly Contribution[] {
  const unseen = Math.max(0, scatter ** 2 - seen ** 2);
  const whole = Math.max(0, Math.hypot(scatter, oneSided) ** 2 - seen ** 2);
  const parts = [
    { name: 'noise', standard: Math.sqrt(unseen), isNoise: true, allowance },
    { name: 'noise to one side', standard: Math.sqrt(Math.max(0, whole - unseen)) },
  ];
  return parts.filter(({ standard }) => standard > 0);
}

/** The outcome with its records disturbed, each as its input says. */
type Again = (select: (input: KnownInput) => Disturbance | undefined) => Outcome;

/** What each error that is the same for all samples contributes; or what one of them makes of the metric. */
function systematicParts(
  outcome: Measured,
  errors: readonly SystematicError[],
  again: Again,
): readonly Contribution[] | NotMeasurable {
  const parts: Contribution[] = [];
  for (const error of errors) {
    const standard = bothWays(outcome, (sign) =>
      again((input) => (error.moves(input) ? error.disturbance(input, sign) : undefined)),
    );
    if (typeof standard !== 'number') return lost(standard, error.name);
    if (standard > 0) parts.push({ name: error.name, standard });
  }
  return parts;
}

/** What a record would not have shown may be there. */
function hiddenPart({ floor, value }: Measured, coverageFactor: number): readonly Contribution[] {
  const hidden = (floor ?? value) - value;
  return hidden > 0
    ? [{ name: 'what the record cannot show', standard: hidden / coverageFactor }]
    : [];
}

/** What nobody has stated of the inputs goes with the value, and how well a way in the diagram of colours is known. */
function withNotes(outcome: Measured, inputs: readonly KnownInput[], way: WayDoubt): Measured {
  const told = inputs.flatMap(({ notes }) => Object.entries(notes));
  const notes = { ...outcome.evidence.notes, ...Object.fromEntries(told), ...way.notes() };
  return { ...outcome, evidence: { ...outcome.evidence, notes } };
}

/** Records say what their dark wiring was found to record. */
function withDarkWiring(
  observation: Observation,
  calibration: readonly InputCalibration[],
): Observation {
  const records = observation.records.map((record) => {
    const dark = calibration.find(({ capture }) => capture === record.capture)?.dark;
    // A dark record without lines says that a line is the lamp's.
    return dark ? signalRecord(record, { ...record.waveform, dark }) : record;
  });
  return { ...observation, records };
}

/** Each capture of an observation once, in its order. */
function capturesOf({ records, colour, frames }: Observation): readonly CaptureId[] {
  return [...new Set([...records, ...colour, ...frames].map(({ capture }) => capture))];
}

/** u_c of independent contributions: root of the sum of squares (JCGM 100:2008 5.1.2). */
export function combined(contributions: readonly Contribution[]): number {
  return Math.sqrt(contributions.reduce((sum, { standard }) => sum + standard * standard, 0));
}

/** Figures that tell one observation from another: a few samples of each record, the colour readings. */
function* fingerprint({ records, colour }: Observation): Iterable<number> {
  for (const { waveform } of records) {
    const { samples } = waveform;
    yield samples.length;
    for (let k = 0; k < 16; k++) yield samples[Math.floor((k * samples.length) / 16)] ?? 0;
  }
  for (const { X, Y, Z } of colour) yield* [X, Y, Z];
}

/** What one standard uncertainty brings about or takes away is not the lamp's doing: then it is lost in the noise. */
function lost(refusal: NotMeasurable, error: string): NotMeasurable {
  const blamed = verdictOfUnmeasurable(refusal.reason) === 'fail';
  const note = `within the standard uncertainty of the ${error}`;
  const reason = blamed ? 'below-noise' : refusal.reason;
  return { ...refusal, reason, note: refusal.note ? `${refusal.note}; ${note}` : note };
}
