import { hannMean } from '../../analysis/means.ts';
import { cut, lengthOf, windowed } from '../../analysis/waveform-part.ts';
import { lightNeed } from '../../needs.ts';
import type { Observation, Window } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { neighbours } from '../../signal/pairs.ts';
import { commandedLevel, isSteady, turningPoints } from '../../subject/commanded-light.ts';
import { soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { roundingOf } from './mean-level.ts';

/** One steady stretch of a sweep over several levels. */
export interface Plateau extends Window {
  /** Commanded level relative to full light. */
  readonly commanded: number;
  /** Mean in the record's unit, over the settled part, and its standard uncertainty. */
  readonly level: number;
  readonly standard: number;
}

/** Part of a stretch, from its start, in which the light may still be on its way. */
export const settlingPart = 0.4;
/** Samples that a mean needs. */
const fewest = 8;

/** The steady stretches of the window in order, each with its mean; two neighbours differ in the commanded level. */
export function plateausIn(observation: Observation): readonly Plateau[] | NotMeasurable {
  const waveform = soundRecord(observation, lightNeed);
  if (!isMeasurable(waveform)) return waveform;
  return steadyStretches(observation).flatMap(({ from, to }) => {
    const part = windowed(waveform, from + settlingPart * (to - from), to);
    if (lengthOf(part) < fewest) return [];
    const commanded = commandedLevel(observation, (from + to) / 2);
    return [{ from, to, commanded, ...meanOf(part) }];
  });
}

/** Mean of a plateau with its standard uncertainty: by the spread of the means of three overlapping halves, and by rounding. */
function meanOf(part: Waveform): { readonly level: number; readonly standard: number } {
  const level = hannMean(part);
  const count = lengthOf(part);
  const pieces = [0, 0.25, 0.5].map((from) => {
    const first = Math.floor(from * count);
    return hannMean(cut(part, first, first + (count >> 1)));
  });
  const spread = Math.max(...pieces) - Math.min(...pieces);
  const scatter = (spread / 2) * (hannNoise / Math.sqrt(2));
  return { level, standard: Math.hypot(scatter, roundingOf(part)) };
}

/** Windows of one commanded level each. */
export function steadyStretches(observation: Observation): readonly Window[] {
  const { window } = observation;
  const cuts = [window.from, ...turningPoints(observation, window), window.to];
  const all: Window[] = [];
  for (const [from, to] of neighbours(cuts)) {
    const stretch = { from, to };
    if (!(stretch.to > stretch.from) || !isSteady(observation, stretch)) continue;
    const last = all.at(-1);
    const joins =
      last && last.to === stretch.from && isSteady(observation, { ...last, to: stretch.to });
    if (joins) all[all.length - 1] = { from: last.from, to: stretch.to };
    else all.push(stretch);
  }
  return all;
}
