import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { HeldLease } from '../../lab/client/held-lease.ts';
import type { RigSetup } from '../../lab/client/rig-session.ts';
import { type RigNews, serveRig } from '../../lab/client/serve-rig.ts';
import type { Registration } from '../../lab/protocol.ts';
import { shortId } from '../../record/ids.ts';
import { isSimulated } from '../../workflow/inputs/read-bench.ts';
import { readRunBench } from '../../workflow/inputs/run-inputs.ts';
import { programDigest } from '../../workflow/running/program-digest.ts';
import { harnessVersion } from '../../workflow/version.ts';
import { interruptionCode } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { timeWithin, wholeNumber } from '../common/options.ts';
import { addLabOptions, type LabOptions, labClient, withLab } from '../lab/lab-options.ts';
import { pageAndJunit } from '../running/stored-run.ts';
import { quietView } from '../running/terminal-view.ts';
import { rigUse } from './rig-use.ts';

interface Options extends LabOptions {
  readonly rig: string;
  readonly lamp?: string;
  readonly folder: string;
  readonly locks?: string;
  readonly flashingOk?: boolean;
  readonly retries: number;
  readonly patience: number;
  readonly jobs?: number;
}

/** `evenfall rig serve`: runs the shards that a lab has for this rig, until it is interrupted. */
export function register(command: Command, io: Io): void {
  addLabOptions(command)
    .description('take shards from a lab, run them on this rig, and send the results')
    .requiredOption('--rig <file>', 'rig file')
    .option('--lamp <file>', 'lamp file of the only kind of lamp on this rig (default: any lamp)')
    .option('--folder <dir>', "the rig's own folder: its runs, and what it has to send", 'rig')
    .option(
      '--locks <folder>',
      'folder of the locks of rigs and instruments (default: EVENFALL_LOCKS, or the temporary folder)',
    )
    .option(
      '--flashing-ok',
      'allow specs that flash at 3 Hz to 70 Hz (read the cautions in README.md first)',
    )
    .option('--retries <number>', 'retries of a condition after a bench error', wholeNumber(), 1)
    .addOption(
      new Option('--patience <time>', 'how long to wait for an instrument that has gone')
        .argParser(timeWithin(0, 86_400))
        .default(600, '10 min'),
    )
    .option(
      '--jobs <number>',
      'conditions to run in parallel on a simulated rig (default: one per core)',
      wholeNumber(1),
    )
    .action(async (options: Options) => {
      io.exitCode = await withLab(io, () => serve(options, io));
    });
}

async function serve(options: Options, io: Io): Promise<number> {
  const folder = resolve(io.cwd, options.folder);
  const { retries, patience, jobs, flashingOk = false } = options;
  const { cwd: _, signal, ...use } = rigUse(io, options.locks);
  const setup: RigSetup = {
    client: labClient(options, io),
    held: new HeldLease(folder),
    folder,
    rigFile: resolve(io.cwd, options.rig),
    ...{ flashingOk, retries, patience, jobs, use },
    reports: pageAndJunit,
    listener: quietView(io),
  };
  const tell = (news: RigNews): void => io.stdout(`${newsText(news)}\n`);
  try {
    await serveRig(setup, registrationOf(options, io), { signal, tell });
    // It ends by a signal alone.
    return interruptionCode(io);
  } catch (error) {
    if (signal.aborted) return interruptionCode(io);
    throw error;
  }
}

function registrationOf({ rig: file, lamp: lampFile }: Options, io: Io): Registration {
  const { rig, rigFile, lamp } = readRunBench({ rig: file, lamp: lampFile }, io.cwd);
  const { text } = rigFile;
  const code = isSimulated(rig) ? { code: programDigest() } : {};
  const only = lampFile === undefined ? null : lamp.lamp;
  return { file: rigFile.file, text, lamp: only, version: harnessVersion, ...code };
}

function newsText(told: RigNews): string {
  if (told.news === 'registered') return `Serving as rig ${told.name}; Ctrl-C stops`;
  const { shard, submission } = told.held.lease;
  const what = `shard ${shard.number}/${shard.of} of submission ${submission.slice(0, 8)}`;
  if (told.news === 'taken') return `Took ${what}`;
  if (told.news !== 'ended') return `Resumes ${what}`;
  const { end } = told;
  if (end.end === 'sent')
    return `Sent ${what}: ${end.record.verdict} (run ${shortId(end.record.id)})`;
  if (end.end === 'lost') return `Left ${what}: it is another's now`;
  return `Handed ${what} back: ${end.why}`;
}
