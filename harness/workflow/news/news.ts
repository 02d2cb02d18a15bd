import { benchBrokenText, verdictWithBench } from '../../record/bench-after.ts';
import { verdictOfGate } from '../../record/quarantine.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { type Ending, standsOpen } from '../../verdict/verdict.ts';

/** What is told of a run, or of a submission of several, that has ended. Texts are as they were found: each way of telling defuses them. */
export interface News {
  readonly of: 'run' | 'submission';
  readonly id: string;
  readonly lamp: string;
  readonly build: string;
  readonly serial: string;
  /** Tags by which its claims were chosen. */
  readonly tags: readonly string[];
  readonly rig: string;
  readonly isSimulated: boolean;
  /** What a gate goes by: claims in quarantine do not count. Null where it ended without one. */
  readonly verdict: Ending | null;
  /** Why nothing that was measured is proved, where the bench was not good after the last claim. */
  readonly bench?: string;
  /** How it ended, in a word: `complete`, `interrupted`, `failed`. */
  readonly ended: string;
  /** ISO 8601 UTC. */
  readonly startedAt: string;
  readonly endedAt: string;
  /** How many claims of each verdict. */
  readonly claims: Readonly<Record<string, number>>;
  /** Claims that neither pass nor are beside the point, in their order; the first of them. */
  readonly open: readonly OpenClaim[];
  /** Where the whole can be read, a folder or an address; null where nothing is stored. */
  readonly where: string | null;
}

interface OpenClaim {
  readonly claim: string;
  readonly verdict: string;
  readonly reason: string | null;
}

/** A message is no report. */
const mostOpen = 20;

export function newsOfRun(record: RunRecord, where: string | null): News {
  const { id, lamp, rig, selection, specs, ended, startedAt, endedAt, totals } = record;
  const broken = benchBrokenText(record);
  const open = specs.filter(standsOpen).slice(0, mostOpen);
  return {
    of: 'run',
    id,
    lamp: lamp.name,
    build: lamp.build,
    serial: lamp.serial,
    tags: selection.tags,
    rig: rig.name,
    isSimulated: rig.simulated,
    verdict: verdictWithBench(verdictOfGate(specs), record),
    ...(broken !== null && { bench: broken }),
    ended,
    startedAt,
    endedAt: endedAt ?? startedAt,
    claims: totals.claims,
    open: open.map(({ spec, verdict, reason }) => ({ claim: spec, verdict, reason })),
    where,
  };
}
