import type { PassRecords } from '../records/pass-records.ts';

/**
 * When the last window of a pass ends, s on the condition's time line: when its hold was over, or later where a reading or a
 * frame that it asked for came later, but not later than the records that go on to its end. Handing records over, asking the lamp and
 * reading the supply take time too, which is no part of any window: records would be too short for it.
 */
export function endOfStory(held: number, { waveforms, colour, frames }: PassRecords): number {
  const asked = [
    ...colour.map(({ at, integration }) => at + integration / 2),
    ...frames.map(({ frame }) => frame.at + frame.exposure + frame.lineTime * frame.rows.length),
  ];
  const covered = waveforms
    .map(({ raw }) => raw.start + raw.codes.length / raw.rate)
    .filter((end) => end >= held);
  return Math.max(held, Math.min(Math.max(held, ...asked), ...covered));
}
