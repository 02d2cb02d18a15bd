import {
  type Tristimulus,
  type Uv1976,
  type Xy,
  xyToUv1976,
  xyzToXy,
} from '../../colorimetry/chromaticity.ts';
import {
  type Covariance,
  covarianceUv,
  sumOfCovariances,
} from '../../colorimetry/uv-covariance.ts';
import type { CalibrationInput } from '../../metric.ts';
import type { ColourReading, Observation, Window } from '../../observation.ts';
import { type Contribution, isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { readingsIn } from '../../subject/colour-readings.ts';

/** What cannot move a chromaticity: the sensor's scale (XYZ share it), the time base, the digitiser's steps. */
export const colourBlindTo: readonly CalibrationInput[] = ['scale', 'time-base', 'quantisation'];

/** Mean of the readings in a window, with the standard uncertainty of x and y each. */
export interface MeanColour extends Tristimulus {
  readonly xy: Xy;
  readonly uv: Uv1976;
  /** Of x and y each: the sensor's own figure and the scatter of the mean, combined. */
  readonly standardXy: number;
  /** The scatter's part of it. */
  readonly scatterXy: number;
  readonly readings: readonly ColourReading[];
}

export function meanColour(observation: Observation, window: Window): MeanColour | NotMeasurable {
  const readings = readingsIn(observation, window);
  return isMeasurable(readings) ? averaged(readings) : readings;
}

function averaged(readings: readonly ColourReading[]): MeanColour {
  const total = readings.reduce((sum, { integration }) => sum + integration, 0);
  // Readings without a stated integration time count alike.
  const weight = ({ integration }: ColourReading) =>
    total > 0 ? integration / total : 1 / readings.length;
  const mean = (part: (reading: ColourReading) => number) =>
    readings.reduce((sum, reading) => sum + weight(reading) * part(reading), 0);
  const XYZ = { X: mean(({ X }) => X), Y: mean(({ Y }) => Y), Z: mean(({ Z }) => Z) };
  const xy = xyzToXy(XYZ);
  const scatterXy = scatter(readings);
  const stated = Math.max(...readings.map(({ standardXy }) => standardXy ?? 0));
  return {
    ...XYZ,
    xy,
    uv: xyToUv1976(xy),
    standardXy: Math.hypot(stated, scatterXy),
    scatterXy,
    readings,
  };
}

/**
 * What a mean colour's uncertainty does to a figure, parted into the sensor's own error, which is the same for all readings, and
 * the readings' scatter.
 *
 * @param standard standard uncertainty of the figure from `standardXy` of the colour, in the figure's unit
 */
export function sensorContributions(
  { standardXy, scatterXy }: Pick<MeanColour, 'standardXy' | 'scatterXy'>,
  standard: number,
): readonly Contribution[] {
  if (standardXy === 0) return [];
  const scatter = (standard * scatterXy) / standardXy;
  const own = Math.sqrt(Math.max(0, standard ** 2 - scatter ** 2));
  return [
    { name: 'colour sensor', standard: own },
    { name: 'scatter of the readings', standard: scatter, isNoise: true },
  ];
}

/**
 * Covariance of u' and v' of a mean colour: the sensor's own error in x and y, independent as far as anybody has stated, and the
 * scatter of the mean with what x and y share of it.
 */
export function meanCovariance({ xy, standardXy, scatterXy, readings }: MeanColour): Covariance {
  const stated = Math.max(0, standardXy ** 2 - scatterXy ** 2);
  const own = { first: stated, second: stated, shared: 0 };
  return covarianceUv(xy, sumOfCovariances([own, scatterOfMean(readings)]));
}

function scatterOfMean(readings: readonly ColourReading[]): Covariance {
  const count = readings.length;
  if (count < 2) return { first: 0, second: 0, shared: 0 };
  const all = readings.map(xyzToXy);
  const mean = (key: keyof Xy) => all.reduce((sum, each) => sum + each[key], 0) / count;
  const [x, y] = [mean('x'), mean('y')];
  const products = all.map((each) => {
    const [dx, dy] = [each.x - x, each.y - y];
    return { first: dx * dx, second: dy * dy, shared: dx * dy };
  });
  const { first, second, shared } = sumOfCovariances(products);
  const share = 1 / ((count - 1) * count);
  return { first: first * share, second: second * share, shared: shared * share };
}

/** Standard deviation of the mean of x and y, the larger of the two. */
function scatter(readings: readonly ColourReading[]): number {
  if (readings.length < 2) return 0;
  const all = readings.map(xyzToXy);
  const of = (values: readonly number[]) => {
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
    return Math.sqrt(square / (values.length - 1) / values.length);
  };
  return Math.max(of(all.map(({ x }) => x)), of(all.map(({ y }) => y)));
}
