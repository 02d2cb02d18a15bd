import type { Delay } from '../condition/delay.ts';
import type { StimulusContext } from '../condition/stimulus.ts';
import type { PassRecords } from '../records/pass-records.ts';

/** Something to start at an instant of the condition; its outcome is awaited when the stimulus has ended. */
export interface Start {
  /** As planned, s. */
  readonly at: number;
  /** On a real bench it begins after the commands of the same instant: it has no use for the light before them. */
  readonly afterCommands?: boolean;
  begin(context: StimulusContext, delay: Pick<Delay, 'leftUntil'>): Promise<void>;
}

/** How much later than planned an instant of the stimulus was, s. */
export type LatenessAt = (planned: number) => number;

/** Where the starts of a pass put what they take. */
export interface Collector {
  readonly records: PassRecords;
  /** Work that has to end before the pass is whole. Its rejection is met then, and counts as handled until then. */
  watch(work: Promise<void>): void;
  /** Work that has to end before anything happens from that planned instant on, s. */
  watchUntil(planned: number, work: Promise<void>): void;
  /** Something to hold against the stimulus as it really was, once all work has ended; throws where it does not hold. */
  check(holds: (lateness: LatenessAt) => void): void;
}
