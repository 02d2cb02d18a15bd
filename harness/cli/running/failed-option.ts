import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { plainLine } from '../../files/plain-text.ts';
import { counted } from '../../report/words/prose.ts';
import type { FailedIn } from '../../workflow/inputs/select-plans.ts';
import { type AskedFailed, failedClaims } from '../../workflow/stored-runs/failed-claims.ts';
import type { Io } from '../common/io.ts';

export interface FailedOptions {
  readonly failed?: boolean;
  readonly failedIn?: string;
  readonly out?: string;
  readonly build?: string;
  readonly fault: readonly unknown[];
}

export function addFailedOptions(command: Command): Command {
  return command
    .addOption(
      new Option(
        '--failed',
        'only claims that did not pass in the newest stored run of this lamp, or of --build where it has one',
      ).conflicts(['only', 'resume']),
    )
    .addOption(
      new Option(
        '--failed-in <run>',
        'only claims that did not pass in this stored run: its folder, or the start of its id',
      ).conflicts(['only', 'resume', 'failed']),
    );
}

/**
 * What did not pass before, and is to be run again; says on stderr what that is, and from where. Undefined where nobody asked for it,
 * `nothing` where everything had passed.
 */
export async function askedFailed(
  { failed, failedIn, out, build, fault }: FailedOptions,
  lamp: string,
  io: Io,
): Promise<FailedIn | 'nothing' | undefined> {
  if (!failed && failedIn === undefined) return undefined;
  const root = resolve(io.cwd, out ?? 'reports');
  const asked = { lamp, build, withFaults: fault.length > 0, run: failedIn };
  return sayFailed(await storedFailed(root, asked), 'run', io);
}

/** What did not pass in a run, and of how many claims. */
export interface FailedInRun extends FailedIn {
  readonly folder: string;
  readonly build: string;
  /** ISO 8601 UTC */
  readonly startedAt: string;
  readonly all: number;
  readonly applies: number;
}

/** Of a stored run here. Rejects as `failedClaims` does. */
export async function storedFailed(root: string, asked: AskedFailed): Promise<FailedInRun> {
  const { record, ...found } = await failedClaims(root, asked);
  return {
    ...found,
    ...{ build: record.lamp.build, startedAt: record.startedAt, all: record.specs.length },
    applies: record.specs.filter(({ verdict }) => verdict !== 'not applicable').length,
  };
}

/** Says what is to be done again, and from where it is known; `nothing` where everything had passed. */
export function sayFailed(
  found: FailedInRun,
  what: 'run' | 'submit',
  io: Pick<Io, 'stdout' | 'stderr'>,
): FailedIn | 'nothing' {
  const { run, claims } = found;
  const where = `the run ${found.folder} of ${found.startedAt}, build ${found.build}`;
  if (claims.length === 0) {
    const all = `every claim that applies to the lamp passed (${found.applies})`;
    io.stdout(`${plainLine(`Nothing to ${what} again: in ${where}, ${all}.`)}\n`);
    return 'nothing';
  }
  const taken = `${claims.length} of ${counted(found.all, 'claim')} (${claims.join(', ')})`;
  io.stderr(`${plainLine(`Again what did not pass in ${where}: ${taken}`)}\n`);
  return { run, claims };
}
