import { basename, join } from 'node:path';
import { glanceAtSeal } from '../../archive/check-seal.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { findRuns, type RunFilter } from '../../archive/find-runs.ts';
import { readRun } from '../../archive/read-run.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { standsOpen } from '../../verdict/verdict.ts';
import { Complaint } from '../complaint.ts';
import type { FailedIn } from '../inputs/select-plans.ts';
import { withIndex } from './with-index.ts';

/** Whose claims are run again. */
export interface AskedFailed {
  readonly lamp: string;
  readonly build?: string | undefined;
  /** Faults are seeded into the lamp: a run with seeded faults counts only then, and then only such a run. */
  readonly withFaults: boolean;
  /** The run itself: its folder, or the start of its id. */
  readonly run?: string | undefined;
}

interface FailedClaims extends FailedIn {
  readonly record: Pick<RunRecord, 'lamp' | 'startedAt' | 'specs'>;
  /** Name of the run's folder. */
  readonly folder: string;
}

/**
 * What did not pass (failed, inconclusive, in error, not run) in the newest finished run of the lamp, of the build where it has one,
 * or in the run that is named. Throws a Complaint where there is no such run, or where it is not as it was sealed.
 */
export async function failedClaims(root: string, asked: AskedFailed): Promise<FailedClaims> {
  const path =
    asked.run === undefined ? await newestRun(root, asked) : await findRunFolder(root, asked.run);
  const seal = await glanceAtSeal(path);
  if (seal.state !== 'sealed') throw notWhole(path, seal.state);
  const { record } = await readRun(path, { hashed: false, curves: false });
  if (record.lamp.name !== asked.lamp) {
    const text = `expected a run of ${asked.lamp}, but ${basename(path)} is one of ${record.lamp.name}`;
    throw new Complaint('usage', `${text}; name the lamp file of that run, or another run`);
  }
  // Of a bench that was not good at the end nothing is proved, whatever passed on it.
  const isOpen = benchBrokenText(record) === null ? standsOpen : appliesToLamp;
  const claims = record.specs.filter(isOpen).map(({ spec }) => spec);
  return { run: record.id, claims, record, folder: basename(path) };
}

function appliesToLamp({ verdict }: SpecRecord): boolean {
  return verdict !== 'not applicable';
}

async function newestRun(root: string, { lamp, build, withFaults }: AskedFailed): Promise<string> {
  const folder = await withIndex(root, {}, (index) => {
    const newest = (filter: RunFilter) =>
      findRuns(index, filter).find(({ sealed, faults }) => sealed && faults > 0 === withFaults);
    return ((build === undefined ? undefined : newest({ lamp, build })) ?? newest({ lamp }))
      ?.folder;
  });
  if (folder !== undefined) return join(root, folder);
  const which = withFaults ? 'with a seeded fault' : 'without a seeded fault';
  const text = `expected a finished run of ${lamp} ${which} in ${root}, found none`;
  throw new Complaint('no-input', `${text}; run all claims first, or name another run`);
}

function notWhole(path: string, state: 'not sealed' | 'altered'): Complaint {
  if (state === 'not sealed')
    return new Complaint(
      'bad-file',
      `the run in ${path} has not ended; resume it, or name another run`,
    );
  return new Complaint(
    'refused',
    `the run in ${path} was altered since it was sealed; name another run`,
  );
}
