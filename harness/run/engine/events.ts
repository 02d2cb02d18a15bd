import type { RawCapture } from '../../bench/ports.ts';
import type { CaptureId } from '../../measure/observation.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../../record/run-record.ts';

/** Everything that happens in a run, in order. The terminal view, the archive and `--json` all listen to this one stream. */
export type RunEvent =
  | {
      readonly event: 'run-started';
      readonly record: RunRecord;
      readonly conditions: number;
      readonly lampTime: number;
      /** What is still to be run, and how long each will take, roughly. */
      readonly expected: readonly ExpectedCondition[];
    }
  | {
      readonly event: 'condition-started';
      readonly spec: string;
      readonly key: string;
      readonly lane: number;
    }
  | {
      /** A condition is inconclusive and will be measured again. */
      readonly event: 'condition-undecided';
      readonly spec: string;
      /** As far as it is known. */
      readonly condition: ConditionRecord;
      /** How often it may be measured in all. */
      readonly atMost: number;
      /** What was captured last; stored before it is measured again. */
      readonly captures: ReadonlyMap<CaptureId, RawCapture>;
    }
  | {
      readonly event: 'condition-ended';
      readonly spec: string;
      readonly condition: ConditionRecord;
      /** What was captured, by the ids in `condition.captures`; stored before the finding that rests on it. */
      readonly captures: ReadonlyMap<CaptureId, RawCapture>;
    }
  | { readonly event: 'spec-ended'; readonly spec: SpecRecord }
  | {
      readonly event: 'bench-trouble';
      readonly spec: string;
      readonly key: string;
      readonly text: string;
      readonly retry: boolean;
    }
  | { readonly event: 'safe-state'; readonly confirmed: boolean; readonly detail: string }
  | { readonly event: 'run-ended'; readonly record: RunRecord };

/** A condition that will be run; one with repeats is listed as often. */
export interface ExpectedCondition {
  readonly spec: string;
  readonly key: string;
  /** s */
  readonly cost: number;
}

/** A listener that must have finished before the run goes on (storing), in the order of registration. */
export type RunListener = (event: RunEvent) => void | Promise<void>;

export type Tell = (event: RunEvent) => Promise<void>;

/** Tells one event after another to each listener in turn, whatever lane it came from. */
export function tellInOrder(listeners: readonly RunListener[]): Tell {
  let last: Promise<void> = Promise.resolve();
  return (event) => {
    last = last.then(async () => {
      for (const listener of listeners) await listener(event);
    });
    return last;
  };
}
