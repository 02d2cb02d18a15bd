import type { Codes } from '../archive/capture-file.ts';
import { createRunFolder, type RunFolder } from '../archive/run-folder.ts';
import type { RawCapture } from '../bench/ports.ts';
import type { CaptureRecord, ConditionRecord, RunRecord } from '../record/run-record.ts';
import { renderJunit } from '../report/exchange/junit.ts';
import { renderPage } from '../report/pages/run/run-page.ts';
import { type Trace, traceOf } from '../report/pages/run/trace.ts';
import type { RunEvent } from '../run/events.ts';

/** Stores a run as it happens: captures before the condition that rests on them, reports and manifest at the end. */
export class RunStore {
  readonly #root: string;
  #folder: RunFolder | null;
  readonly #onStarted: (() => Promise<void>) | undefined;
  readonly #traces: Trace[] = [];

  /** `onStarted` runs once the folder is there, before the first condition. */
  constructor(root: string, resumed: RunFolder | null = null, onStarted?: () => Promise<void>) {
    this.#root = root;
    this.#onStarted = onStarted;
    this.#folder = resumed;
  }

  /** Null until the run has started. */
  get path(): string | null {
    return this.#folder?.path ?? null;
  }

  readonly listen = (event: RunEvent): Promise<void> => this.#store(event);

  /** A run that could not be finished stays in its folder, marked unfinished. */
  async close(): Promise<void> {
    await this.#folder?.close();
  }

  /** A capture that an earlier part of the run took; `copied` when it does not lie in this folder yet. */
  async keepCapture(capture: CaptureRecord, codes: Codes, copied: boolean): Promise<void> {
    if (copied) await this.#folder!.saveCapture(capture, codes);
    this.#traces.push(captureTrace(capture, codes));
  }

  async keepCondition(spec: string, condition: ConditionRecord): Promise<void> {
    await this.#folder!.saveCondition(spec, condition);
  }

  async #store(event: RunEvent): Promise<void> {
    if (event.event === 'run-started') {
      const header = { ...event.record, planned: event.conditions };
      this.#folder ??= await createRunFolder(this.#root, header);
      await this.#onStarted?.();
    } else if (event.event === 'condition-ended') {
      const { captures } = event.condition;
      for (const [index, capture] of captures.entries()) {
        await this.#saveCapture(capture, event.captures[index]!);
      }
      await this.#folder!.saveCondition(event.spec, event.condition);
    } else if (event.event === 'run-ended') {
      await this.#folder!.finish(event.record, this.#reports(event.record));
    }
  }

  async #saveCapture(capture: CaptureRecord, raw: RawCapture): Promise<void> {
    await this.#folder!.saveCapture(capture, raw.codes);
    this.#traces.push(captureTrace(capture, raw.codes));
  }

  #reports(record: RunRecord): { name: string; content: string }[] {
    return [
      { name: 'junit.xml', content: renderJunit(record, 'strict') },
      { name: 'index.html', content: renderPage({ record, traces: this.#traces }) },
    ];
  }
}

/** What a report draws of one capture. */
export function captureTrace(capture: CaptureRecord, codes: ArrayLike<number>): Trace {
  const { scale, offset, rate, start, unit } = capture;
  const trace = traceOf(capture, { samples: codes, rate, start, unit });
  const inUnit = (code: number): number => code * scale + offset;
  // A scale below zero (a probe the other way round) makes the lowest code the highest value.
  const [low, high] = scale < 0 ? [trace.max, trace.min] : [trace.min, trace.max];
  return { ...trace, min: low.map(inUnit), max: high.map(inUnit) };
}
