import type { Contribution } from '../../outcome.ts';
import type { BandLimited } from './band-limited-light.ts';
import { hiddenOf } from './components.ts';
import type { LitRecord } from './lit-record.ts';
import { leastPassed } from './passed-share.ts';

/** How well the noise in the band and so its correction is known, relative. */
const correctionKnown = 0.1;

/** Half-widths of rectangles but for the noise. */
export function bandContributions(
  { modulation, without, within, merged, correction }: BandLimited,
  { waveform }: LitRecord,
  cutOff: number,
): Contribution[] {
  const averaging = modulation * (1 / leastPassed(waveform, cutOff) - 1);
  const onCutOff = Math.max(Math.abs(modulation - without), Math.min(modulation, merged));
  return [
    { name: 'tones on the cut-off', standard: onCutOff / Math.sqrt(3) },
    { name: 'ends of the record', standard: Math.abs(modulation - within) / Math.sqrt(3) },
    { name: 'averaging and bandwidth', standard: averaging / Math.sqrt(3) },
    { name: 'noise correction', standard: correctionKnown * correction },
  ];
}

/** Slower changes than this are seen as they are, Hz. */
const slowest = 1;

/** The largest amplitude that a tone of the band may have unseen, relative to the mean. */
export function bandFloor(record: LitRecord, cutOff: number): number {
  let floor = 0;
  hiddenOf(record, { from: slowest, to: cutOff }, (_, amplitude) => {
    floor = Math.max(floor, amplitude);
  });
  return floor;
}
