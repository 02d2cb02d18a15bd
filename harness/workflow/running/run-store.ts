import type { Codes } from '../../archive/capture-file.ts';
import { createRunFolder, type ReportFile, type RunFolder } from '../../archive/run-folder.ts';
import type { RunningCondition } from '../../archive/running-now.ts';
import type { CaptureRecord, ConditionRecord, RunRecord } from '../../record/run-record.ts';
import type { RunListener } from '../../run/engine/events.ts';

/** Makes the reports that lie beside a record: it sees each capture once, and then the whole record. */
export interface RunReports {
  addCapture(capture: CaptureRecord, codes: Codes): void;
  render(record: RunRecord): readonly ReportFile[];
}

/**
 * Stores a run piece by piece: `begin`, then captures before the condition that rests on them, and at the end `finish`,
 * which adds the reports and the manifest. What is not finished stays in its folder, marked unfinished.
 */
export class RunStore {
  readonly #root: string;
  readonly #reports: RunReports;
  #folder: RunFolder | null;

  /** `root`: the archive. `resumed`: the folder of a run that is written on. */
  constructor(root: string, reports: RunReports, resumed: RunFolder | null = null) {
    this.#root = root;
    this.#reports = reports;
    this.#folder = resumed;
  }

  /** Null until `begin`. */
  get path(): string | null {
    return this.#folder?.path ?? null;
  }

  /** `planned`: how many conditions there will be. */
  async begin(header: RunRecord, planned: number): Promise<void> {
    this.#folder ??= await createRunFolder(this.#root, { ...header, planned });
  }

  async saveCapture(capture: CaptureRecord, codes: Codes): Promise<void> {
    await this.#begun().saveCapture(capture, codes);
    this.addStoredCapture(capture, codes);
  }

  /** A capture that lies in the folder already: only the reports have to see it. */
  addStoredCapture(capture: CaptureRecord, codes: Codes): void {
    this.#reports.addCapture(capture, codes);
  }

  async saveCondition(spec: string, condition: ConditionRecord): Promise<void> {
    await this.#begun().saveCondition(spec, condition);
  }

  tellRunning(conditions: readonly RunningCondition[]): void {
    this.#folder?.tellRunning(conditions);
  }

  async finish(record: RunRecord): Promise<void> {
    await this.#begun().finish(record, this.#reports.render(record));
  }

  async close(): Promise<void> {
    await this.#folder?.close();
  }

  #begun(): RunFolder {
    if (!this.#folder) throw new Error('the store takes nothing before begin()');
    return this.#folder;
  }
}

/** Stores a run as the engine reports it; `onBegun` runs before its first condition. */
export function storingListener(store: RunStore, onBegun?: () => Promise<void>): RunListener {
  let running: readonly RunningCondition[] = [];
  return async (event) => {
    if (event.event === 'condition-started') {
      const { spec, key } = event;
      running = [...running, { spec, key }];
      store.tellRunning(running);
    } else if (event.event === 'run-started') {
      await store.begin(event.record, event.conditions);
      await onBegun?.();
    } else if (event.event === 'condition-ended') {
      const { spec, condition, captures } = event;
      for (const capture of condition.captures) {
        const raw = captures.get(capture.id);
        if (raw) await store.saveCapture(capture, raw.codes);
      }
      await store.saveCondition(spec, condition);
      // Repeats of a condition bear one name: one of them has ended.
      const ended = running.findIndex((own) => own.spec === spec && own.key === condition.key);
      running = running.filter((_, place) => place !== ended);
    } else if (event.event === 'run-ended') await store.finish(event.record);
  };
}
