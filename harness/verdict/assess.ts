import { analysisOf } from '../measure/analysis/analysis.ts';
import { type Disturbance, disturb } from '../measure/analysis/disturb.ts';
import { noteReads } from '../measure/analysis/note-reads.ts';
import type { CalibrationInput, Metric } from '../measure/metric.ts';
import type { CaptureId, Observation } from '../measure/observation.ts';
import type { Contribution, Measured, NotMeasurable, Outcome } from '../measure/outcome.ts';
import { notMeasurable } from '../measure/outcome.ts';
import { seedOfFigures } from '../measure/signal/seeded-noise.ts';
import type { Assess, InputCalibration } from './uncertainty.ts';
import { verdictOfUnmeasurable } from './unmeasurable.ts';

/**
 * A metric's value with its expanded uncertainty.
 *
 * Every error of the calibration is given to the records at plus and at minus one standard uncertainty and the metric is
 * computed again: the root mean square of the two changes is that error's contribution, c_i u_i. (For a smooth quantity
 * this is the central difference; at a kink, such as a distance near zero, it does not vanish as the difference would.)
 * Inputs that share an error are moved together. Noise and quantisation, which differ from sample to sample, are added
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
  observation,
  calibration,
  coverageFactor,
  settled = () => false,
) => {
  const noted = noteReads(observation);
  const outcome = metric.compute(noted.observation);
  // What the metric did not read cannot move its value: the budget saves those runs.
  const captures = capturesOf(observation).filter((capture) => noted.read.has(capture));
  if (!outcome.measured) return { outcome, captures };
  if (!Number.isFinite(outcome.value)) return { outcome: notMeasurable('not-finite'), captures };

  const inputs = calibration.filter(({ capture }) => captures.includes(capture));
  const contributions: Contribution[] = [...outcome.contributions];
  const again = (select: (input: InputCalibration) => Disturbance | undefined): Outcome =>
    metric.compute(
      disturb(observation, (capture) => {
        const input = inputs.find((each) => each.capture === capture);
        return input && select(input);
      }),
      { evidence: false },
    );

  for (const error of systematicErrors(metric, inputs)) {
    const standard = bothWays(outcome, (sign) =>
      again((input) => (error.moves(input) ? error.disturbance(input, sign) : undefined)),
    );
    if (typeof standard !== 'number') return { outcome: lost(standard, error.name), captures };
    if (standard > 0) contributions.push({ name: error.name, standard });
  }

  const scatter = randomErrors(metric, inputs, observation);
  if (scatter.length > 0) {
    const seen = combined(outcome.contributions.filter(({ isNoise }) => isNoise));
    const known = Math.max(seen, negligible * combined(contributions));
    const seed = seedOfFigures(fingerprint(observation));
    const others = combined(contributions);
    const enough = (noise: number, runs: number): boolean =>
      noise <= known ||
      // One run gives too wide an uncertainty to be told to anybody.
      (runs > 1 && settled(outcome.value, coverageFactor * Math.hypot(others, noise)));
    const standard = realisations(outcome, enough, (run) =>
      again((input) => randomDisturbance(scatter, input, seed + run)),
    );
    if (typeof standard !== 'number') return { outcome: lost(standard, 'noise'), captures };
    const unseen = Math.sqrt(Math.max(0, standard * standard - seen * seen));
    if (unseen > 0) contributions.push({ name: 'noise', standard: unseen });
  }
  const hidden = (outcome.floor ?? 0) - outcome.value;
  if (hidden > 0)
    contributions.push({ name: 'what the record cannot show', standard: hidden / coverageFactor });
  return { outcome, captures, contributions, expanded: coverageFactor * combined(contributions) };
};

/** Each capture of an observation once, in its order. */
function capturesOf({ records, colour, frames }: Observation): readonly CaptureId[] {
  return [...new Set([...records, ...colour, ...frames].map(({ capture }) => capture))];
}

/** u_c of independent contributions: root of the sum of squares (JCGM 100:2008 5.1.2). */
export function combined(contributions: readonly Contribution[]): number {
  return Math.sqrt(contributions.reduce((sum, { standard }) => sum + standard * standard, 0));
}

/** An error that is the same for all samples of a record. */
interface SystematicError {
  readonly name: string;
  moves(input: InputCalibration): boolean;
  disturbance(input: InputCalibration, sign: 1 | -1): Disturbance;
}

/** `inputs`: of the captures that the metric read. */
function systematicErrors(metric: Metric, inputs: readonly InputCalibration[]): SystematicError[] {
  const blind = new Set<CalibrationInput>(metric.blindTo);
  const errors: SystematicError[] = [];
  for (const [name, group] of groups(inputs, 'sharedScale', ({ standardScale }) => standardScale)) {
    if (isColour(group)) errors.push(...axisErrors(name, group));
    else if (!blind.has('scale')) errors.push(scaleError(name, group));
  }
  if (!blind.has('offset')) {
    for (const [name, group] of groups(
      inputs,
      'sharedScale',
      ({ standardOffset }) => standardOffset,
    ))
      errors.push({
        name: `offset of ${name}`,
        moves: (input) => group.has(input),
        disturbance: ({ standardOffset }, sign) => ({ offset: sign * standardOffset }),
      });
  }
  if (!blind.has('quantisation')) {
    for (const input of inputs.filter(undithered))
      errors.push({
        name: `quantisation of ${nameOf(input)}`,
        moves: (other) => other === input,
        disturbance: ({ step }, sign) => ({ offset: sign * quantisation(step) }),
      });
  }
  if (!blind.has('time-base')) {
    for (const [name, group] of groups(inputs, 'sharedTimeBase', ({ timeBase }) => timeBase))
      errors.push({
        name: `time base of ${name}`,
        moves: (input) => group.has(input),
        disturbance: ({ timeBase }, sign) => ({ stretch: 1 + sign * timeBase }),
      });
  }
  return errors;
}

/**
 * The three filters of a colour sensor are calibrated apart and err independently. No colour is blind to that: what
 * cancels in a chromaticity is a scale that all three share.
 */
function axisErrors(name: string, group: ReadonlySet<InputCalibration>): SystematicError[] {
  return (['X', 'Y', 'Z'] as const).map((axis) => scaleError(name, group, axis));
}

function scaleError(
  name: string,
  group: ReadonlySet<InputCalibration>,
  axis?: 'X' | 'Y' | 'Z',
): SystematicError {
  return {
    name: axis ? `scale of ${name}, ${axis}` : `scale of ${name}`,
    moves: (input) => group.has(input),
    disturbance: ({ standardScale }, sign) => ({
      gain: 1 + sign * standardScale,
      ...(axis && { axis }),
    }),
  };
}

function isColour(group: ReadonlySet<InputCalibration>): boolean {
  return [...group].every(({ signal }) => signal === 'colour');
}

/** Inputs with a non-zero uncertainty, gathered by the error that they share; one without a shared name stands alone. */
function groups(
  inputs: readonly InputCalibration[],
  shared: 'sharedScale' | 'sharedTimeBase',
  standard: (input: InputCalibration) => number,
): Map<string, Set<InputCalibration>> {
  const found = new Map<string, Set<InputCalibration>>();
  for (const input of inputs) {
    if (standard(input) === 0) continue;
    const name = input[shared] ?? nameOf(input);
    found.set(name, (found.get(name) ?? new Set()).add(input));
  }
  return found;
}

function nameOf({ signal, of }: InputCalibration): string {
  return of === signal ? of : `${signal} ${of}`;
}

/** A rounding error of half a step at most, equally likely everywhere: step/√12 (JCGM 100:2008 4.3.7). */
function quantisation(step: number): number {
  return step / Math.sqrt(12);
}

/** Noise of half a step spreads the rounding from sample to sample; below that one error holds for a whole level. */
function undithered({ step, noise }: InputCalibration): boolean {
  return step > 0 && noise < step / 2;
}

/** The signal itself moves over the steps, so that their rounding differs from sample to sample without any noise. */
function moves({ records }: Observation, { capture, step }: InputCalibration): boolean {
  const record = records.find((each) => each.capture === capture);
  if (!record) return false;
  const { lowest, highest } = analysisOf(record.waveform).statistics;
  return highest - lowest > 1.5 * step;
}

/** What differs from sample to sample in one record. */
interface Scatter {
  readonly input: InputCalibration;
  /** White, rms. */
  readonly standard: number;
  /** Step of a rounding that may follow the light, or 0. */
  readonly rounding: number;
}

function randomErrors(
  metric: Metric,
  inputs: readonly InputCalibration[],
  observation: Observation,
): Scatter[] {
  if (metric.statesNoise) return [];
  const blind = new Set<CalibrationInput>(metric.blindTo);
  return inputs
    .map((input) => {
      const noise = blind.has('noise') ? 0 : input.noise;
      const coherent = undithered(input);
      const counts = !blind.has('quantisation') && (!coherent || moves(observation, input));
      return {
        input,
        standard: Math.hypot(noise, counts ? quantisation(input.step) : 0),
        rounding: counts && coherent ? input.step : 0,
      };
    })
    .filter(({ standard }) => standard > 0);
}

function randomDisturbance(
  scatter: readonly Scatter[],
  input: InputCalibration,
  seed: number,
): Disturbance | undefined {
  const found = scatter.find((each) => each.input === input);
  if (!found) return undefined;
  const { standard, rounding } = found;
  // Each record has its own noise.
  const own = seedOfFigures([seed, ...codesOf(nameOf(input))]);
  return {
    ...(standard > 0 && { noise: { standard, seed: own } }),
    ...(rounding > 0 && { rounding: anotherGrid(rounding, own) }),
  };
}

/**
 * Rounding that noise does not spread can go with the light: then its error repeats where the light repeats, and gathers in
 * the light's own lines. Another grid of much the same step makes another error of that kind. How much of the error is
 * of that kind cannot be told, so white noise of the same size counts beside it.
 */
function anotherGrid(step: number, seed: number): { step: number; phase: number } {
  const pitch = step * (0.8 + 0.4 * evenly(seed));
  return { step: pitch, phase: pitch * evenly(seed ^ 0x5bd1e995) };
}

/** 0 to 1, by golden-section steps through the seeds. */
function evenly(seed: number): number {
  return ((seed >>> 0) * 0.6180339887498949) % 1;
}

function codesOf(text: string): number[] {
  return Array.from(text, (letter) => letter.codePointAt(0) ?? 0);
}

/** One error, up and down by one standard uncertainty: the change of the value, or why neither could be computed. */
function bothWays(nominal: Measured, compute: (sign: 1 | -1) => Outcome): number | NotMeasurable {
  const up = compute(1);
  const down = compute(-1);
  const changes = [up, down].flatMap((outcome) => change(outcome, nominal));
  if (changes.length === 0 && !up.measured) return up;
  return rootMeanSquare(changes);
}

/**
 * How many realisations of the noise are computed, and by how much Student's t exceeds the normal distribution's 2 at
 * that number (t for 95.45 %, over 2; JCGM 100:2008 table G.2; computed). The first stages are enough where noise hardly
 * matters.
 */
const stages = [
  { runs: 1, student: 6.9839 },
  { runs: 2, student: 2.2633 },
  { runs: 4, student: 1.4347 },
  { runs: 8, student: 1.1832 },
] as const;

/** Noise below this part of all other contributions is not looked at more closely. */
const negligible = 0.2;

function realisations(
  nominal: Measured,
  enough: (standard: number, runs: number) => boolean,
  compute: (run: number) => Outcome,
): number | NotMeasurable {
  const changes: number[] = [];
  let refused: NotMeasurable | undefined;
  let standard = 0;
  let run = 0;
  for (const { runs, student } of stages) {
    while (changes.length < runs) {
      const outcome = compute(run++);
      if (!outcome.measured) {
        if (refused) return refused;
        refused = outcome;
        continue;
      }
      changes.push(outcome.value - nominal.value);
    }
    standard = rootMeanSquare(changes) * student;
    if (enough(standard, runs)) break;
  }
  return standard;
}

function change(outcome: Outcome, nominal: Measured): number[] {
  return outcome.measured ? [outcome.value - nominal.value] : [];
}

function rootMeanSquare(values: readonly number[]): number {
  if (values.length === 0) return 0;
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
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
