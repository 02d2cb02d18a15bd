import { edgeDoubt } from '../../analysis/edge-doubt.ts';
import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { hannMean, plainMean } from '../../analysis/means.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { cut, lengthOf } from '../../analysis/waveform-part.ts';
import type { Need } from '../../metric.ts';
import type { Observation, Window } from '../../observation.ts';
import { type Contribution, isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { isSteady } from '../../subject/commanded-light.ts';
import { soundPart } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

/** Mean of the subject's record in a window, in the record's unit, and its standard uncertainty from scatter and rounding. */
export interface MeanLevel {
  readonly value: number;
  readonly standard: number;
  /** What pulses between point samples leave open, systematic. */
  readonly edges: number;
}

/**
 * Mean level in a window. Where the command is steady the ends are tapered (Hann), which keeps pulse trains and a late
 * command at the window's ends from biasing it; where the command moves it is the plain mean.
 */
export function meanLevel(
  observation: Observation,
  need: Need,
  window: Window,
): MeanLevel | NotMeasurable {
  const part = soundPart(observation, need, window);
  if (!isMeasurable(part)) return part;
  const count = lengthOf(part);
  const edges = edgeDoubt(part);
  if (!isSteady(observation, window))
    return { value: plainMean(part), standard: quietNoise(part) / Math.sqrt(count), edges };
  const value = hannMean(part);
  const scatter =
    count < fewest ? (hannNoise * quietNoise(part)) / Math.sqrt(count) : standardOfPieces(part);
  return { value, standard: Math.hypot(scatter, roundingOf(part)), edges };
}

/** Standard uncertainty of a steady mean from rounding that no noise spreads: a rectangle (JCGM 100:2008 4.3.7, clause from memory). */
export function roundingOf(part: Waveform): number {
  return hiddenByCodes(part) / Math.sqrt(12);
}

/** Pieces of a window whose scatter tells how well its mean is known. */
const pieces = 8;
/** Samples from which a window can be cut into so many. */
const fewest = 8 * pieces;
/** Student's t for 95.45 % at 7 degrees of freedom over the normal distribution's 2 (computed). */
const student = 1.2144;

/** Standard uncertainty of a mean from the means of neighbouring pieces: noise, tones and drift alike. */
function standardOfPieces(part: Waveform): number {
  const size = Math.floor(lengthOf(part) / pieces);
  const means = Array.from({ length: pieces }, (_, k) =>
    hannMean(cut(part, k * size, (k + 1) * size)),
  );
  const mean = means.reduce((sum, each) => sum + each, 0) / pieces;
  const square = means.reduce((sum, each) => sum + (each - mean) ** 2, 0) / (pieces - 1);
  return student * Math.sqrt(square / pieces);
}

/** The contributions of a figure that goes with a mean, or a ratio of means. */
export function meanDoubt(
  { standard, edges }: Pick<MeanLevel, 'standard' | 'edges'>,
  scatter = 'scatter within the windows',
): readonly Contribution[] {
  return [
    { name: scatter, standard, isNoise: true, allowance: student },
    ...(edges > 0 ? [{ name: 'edges between two samples', standard: edges }] : []),
  ];
}
