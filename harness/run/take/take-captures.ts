import type { OpenBench } from '../../bench/ports.ts';
import type { PlannedCapture } from '../../plan/captures/planned-capture.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { Collector, LatenessAt, Start } from './collector.ts';
import { startsOfColour } from './colour-starts.ts';
import { startsOfFrames } from './frame-starts.ts';
import { startsOfWaveforms } from './waveform-starts.ts';

/** Every start of a pass, and the promise of what they bring. */
export interface TakePlan {
  readonly starts: readonly Start[];
  /** Resolves when everything that had to end before this planned instant (s) has; rejects where it could not. */
  quietAt(planned: number): Promise<void>;
  /**
   * Resolves when every record is in; rejects with the first error, also where a record ended before what it was to show
   * since commands came too late.
   */
  collect(lateness: LatenessAt): Promise<PassRecords>;
  /** Cancels what is still being taken; resolves when the instruments are free. */
  giveUp(): Promise<void>;
}

/** Lays out how the captures of one pass are started. */
export function takeCaptures(captures: readonly PlannedCapture[], bench: OpenBench): TakePlan {
  const pending: Promise<void>[] = [];
  const until: { readonly planned: number; readonly work: Promise<void> }[] = [];
  const checks: ((lateness: LatenessAt) => void)[] = [];
  const records: PassRecords = { waveforms: [], alongside: [], colour: [], frames: [] };
  const collector: Collector = {
    records,
    watch(work) {
      work.catch(() => {});
      pending.push(work);
    },
    watchUntil(planned, work) {
      collector.watch(work);
      until.push({ planned, work });
    },
    check(holds) {
      checks.push(holds);
    },
  };
  const starts = [
    ...startsOfWaveforms(captures, bench, collector),
    ...startsOfColour(captures, bench, collector),
    ...startsOfFrames(captures, bench, collector),
  ];
  const collect = async (lateness: LatenessAt): Promise<PassRecords> => {
    await Promise.all(pending);
    for (const check of checks) check(lateness);
    const places = new Map(captures.map(({ id }, place) => [id, place] as const));
    const place = (id: string): number => places.get(id) ?? 0;
    records.waveforms.sort((a, b) => place(a.capture.id) - place(b.capture.id));
    records.colour.sort((a, b) => a.at - b.at);
    records.frames.sort((a, b) => a.frame.at - b.frame.at);
    return records;
  };
  const quietAt = async (planned: number): Promise<void> => {
    await Promise.all(until.filter((one) => one.planned <= planned).map(({ work }) => work));
  };
  const stop = new AbortController();
  const giveUp = async (): Promise<void> => {
    stop.abort();
    await Promise.allSettled(pending);
  };
  return {
    starts: starts.sort((a, b) => a.at - b.at).map((start) => cancelledBy(stop.signal, start)),
    quietAt,
    collect,
    giveUp,
  };
}

function cancelledBy(stop: AbortSignal, start: Start): Start {
  const begin: Start['begin'] = (context, delay) =>
    start.begin({ ...context, signal: AbortSignal.any([context.signal, stop]) }, delay);
  return { ...start, begin };
}
