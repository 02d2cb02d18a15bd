import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { plainLine } from '../../files/plain-text.ts';
import { counted } from '../../report/words/prose.ts';
import type { FailedIn } from '../../workflow/inputs/select-plans.ts';
import { type FailedClaims, failedClaims } from '../../workflow/stored-runs/failed-claims.ts';
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
  const found = await failedClaims(root, asked);
  if (found.claims.length > 0) {
    io.stderr(`${plainLine(takenText(found))}\n`);
    return found;
  }
  const applies = found.record.specs.filter(({ verdict }) => verdict !== 'not applicable').length;
  const all = `every claim that applies to the lamp passed (${applies})`;
  io.stdout(`${plainLine(`Nothing to run again: in ${runText(found)}, ${all}.`)}\n`);
  return 'nothing';
}

function takenText(found: FailedClaims): string {
  const { claims, record } = found;
  return `Again what did not pass in ${runText(found)}: ${claims.length} of ${counted(record.specs.length, 'claim')} (${claims.join(', ')})`;
}

function runText({ folder, record }: FailedClaims): string {
  return `the run ${folder} of ${record.startedAt}, build ${record.lamp.build}`;
}
