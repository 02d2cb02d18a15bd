import { conditionId } from '../../record/ids.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import type { EarlierBench } from '../../record/shard-record.ts';
import type { ResumedRun } from './resume-run.ts';

/** What other benches had measured of a shard before they were cut off. */
export interface TakenOver {
  /** Folder with the captures of these conditions, named as their records name them. */
  readonly source: string;
  readonly conditions: readonly { readonly spec: string; readonly condition: ConditionRecord }[];
  readonly benches: readonly EarlierBench[];
}

/** The conditions as those of a run to resume: they are copied, and not run again. */
export function takenOverRun(draft: RunRecord, { source, conditions }: TakenOver): ResumedRun {
  const done = new Map(
    conditions.map(({ spec, condition }) => [conditionId(spec, condition), condition] as const),
  );
  return { record: draft, source, folder: null, done, errors: [] };
}

/** The draft of the bench that takes over: it says which benches measured what before. */
export function takenOverDraft(draft: RunRecord, { benches }: TakenOver): RunRecord {
  if (benches.length === 0) return draft;
  const texts = benches.map(({ rig, run, conditions }) => {
    const count = conditions.length === 1 ? '1 condition' : `${conditions.length} conditions`;
    const unlooked = rig.after ? ' and was not checked after its last claim' : '';
    return `took over ${count} from the bench ${rig.name}, which was cut off${unlooked} (run ${run})`;
  });
  const deviations = texts.map((text) => ({ kind: 'taken over', text }));
  return { ...draft, earlier: [...benches], deviations: [...draft.deviations, ...deviations] };
}
