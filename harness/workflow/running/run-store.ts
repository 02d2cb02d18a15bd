import type { Codes } from '../../archive/code-residuals.ts';
import { createRunFolder, type ReportFile, type RunFolder } from '../../archive/run-folder.ts';
import type { RunningCondition } from '../../archive/running-now.ts';
import { conditionId } from '../../record/ids.ts';
import {
  type CapturesKept,
  isStored,
  keepsCaptures,
  withoutCaptures,
} from '../../record/kept-captures.ts';
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
  readonly #kept: CapturesKept;
  /** `conditionId`s of those whose captures were not kept. */
  readonly #leftAway = new Set<string>();
  #folder: RunFolder | null;

  /** `root`: the archive. `resumed`: the folder of a run that is written on. `kept`: captures that a run keeps. */
  constructor(
    root: string,
    reports: RunReports,
    {
      resumed = null,
      kept = 'all',
    }: { readonly resumed?: RunFolder | null; readonly kept?: CapturesKept } = {},
  ) {
    this.#root = root;
    this.#reports = reports;
    this.#folder = resumed;
    this.#kept = kept;
  }

  /** Null until `begin`. */
  get path(): string | null {
    return this.#folder?.path ?? null;
  }

  /** `planned`: how many conditions there will be. */
  async begin(header: RunRecord, planned: number): Promise<void> {
    this.#folder ??= await createRunFolder(this.#root, { ...header, planned });
  }

  /** A condition that has ended, or will be measured again, with what was captured of it last, as far as that is kept. */
  async saveEnded(
    spec: string,
    ended: ConditionRecord,
    captured: ReadonlyMap<string, { readonly codes: Codes }>,
  ): Promise<void> {
    const isKept = keepsCaptures(ended, this.#kept);
    const condition = isKept ? ended : withoutCaptures(ended);
    if (!isKept) this.#leftAway.add(conditionId(spec, ended));
    for (const capture of condition.captures) {
      const raw = captured.get(capture.id);
      if (raw && isStored(capture)) await this.saveCapture(capture, raw.codes);
      else if (raw) this.addStoredCapture(capture, raw.codes);
    }
    await this.saveCondition(spec, condition);
  }

  async saveCapture(capture: CaptureRecord, codes: Codes): Promise<void> {
    await this.#begun().saveCapture(capture, codes);
    this.addStoredCapture(capture, codes);
  }

  /** A capture that lies in the folder already, or is left away: only the reports have to see it. */
  addStoredCapture(capture: CaptureRecord, codes: Codes): void {
    this.#reports.addCapture(capture, codes);
  }

  async saveCondition(spec: string, condition: ConditionRecord): Promise<void> {
    await this.#begun().saveCondition(spec, condition);
  }

  tellRunning(conditions: readonly RunningCondition[]): void {
    this.#folder?.tellRunning(conditions);
  }

  async finish(ended: RunRecord): Promise<void> {
    const record = this.#asKept(ended);
    await this.#begun().finish(record, this.#reports.render(record));
  }

  /** What a resumed run had stored before stays stored. */
  #asKept(record: RunRecord): RunRecord {
    if (this.#leftAway.size === 0) return record;
    const specs = record.specs.map((spec) => ({
      ...spec,
      conditions: spec.conditions.map((one) =>
        this.#leftAway.has(conditionId(spec.spec, one)) ? withoutCaptures(one) : one,
      ),
    }));
    return { ...record, specs };
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
    } else if (event.event === 'condition-undecided') {
      await store.saveEnded(event.spec, event.condition, event.captures);
    } else if (event.event === 'condition-ended') {
      const { spec, condition, captures } = event;
      await store.saveEnded(spec, condition, captures);
      // Repeats of a condition bear one name: one of them has ended.
      const ended = running.findIndex((own) => own.spec === spec && own.key === condition.key);
      running = running.filter((_, place) => place !== ended);
    } else if (event.event === 'run-ended') await store.finish(event.record);
  };
}
