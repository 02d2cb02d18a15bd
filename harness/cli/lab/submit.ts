import { writeFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { followSubmission, type Progress } from '../../lab/client/follow-submission.ts';
import type { LabClient } from '../../lab/client/lab-client.ts';
import { lampToSubmit, schedule, submit, type Wanted } from '../../lab/client/submit.ts';
import { type CapturesKept, captureChoices } from '../../record/kept-captures.ts';
import { parseRunRecord } from '../../record/parse-run-record.ts';
import { renderAnnotations } from '../../report/text/annotations.ts';
import { renderQuietSummary, renderSummary } from '../../report/text/summary.ts';
import { mostAgain } from '../../verdict/looks.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { FailedIn } from '../../workflow/inputs/select-plans.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodeOfRun, exitCodes } from '../common/exit-codes.ts';
import { inCi } from '../common/in-ci.ts';
import type { Io } from '../common/io.ts';
import { seedNumber, specPaths, timeWithin, wholeNumber } from '../common/options.ts';
import { sayFailed } from '../running/failed-option.ts';
import { addClaimOptions } from '../running/selection-options.ts';
import { failedAtLab } from './failed-at-lab.ts';
import { addLabOptions, type LabOptions, labClient, withLab } from './lab-options.ts';

interface Options extends LabOptions {
  readonly lamp?: string;
  readonly firmware?: string;
  readonly quarantine?: string;
  readonly tag: readonly string[];
  readonly only: readonly string[];
  readonly failedIn?: string;
  readonly build?: string;
  readonly serial?: string;
  readonly operator?: string;
  readonly seed: number;
  readonly simulated?: boolean;
  readonly flashingOk?: boolean;
  readonly captures: CapturesKept;
  readonly untilDecided?: number;
  readonly shards?: number;
  readonly shardTime: number;
  readonly schedule?: string;
  readonly cron?: string;
  readonly zone: string;
  readonly wait?: boolean;
  readonly junit?: string;
  readonly page?: string;
  readonly quiet?: boolean;
}

/** `evenfall submit [PATHS]`: has specs judged on the rigs of a lab; with `--wait` the exit code is that of the whole. */
export function register(command: Command, io: Io): void {
  addLabOptions(addWaitOptions(addWhatOptions(addClaimOptions(command))))
    .addArgument(specPaths())
    .action(async (paths: string[], options: Options) => {
      io.exitCode = await withLab(io, () => withArchive(() => submitSpecs(paths, options, io)));
    });
}

function addWhatOptions(command: Command): Command {
  return command
    .addOption(
      new Option(
        '--failed-in <run>',
        'only claims that did not pass in this run of the lab: a submission, a build, a run or latest; or in a stored run here',
      ).conflicts(['only', 'schedule']),
    )
    .option('--lamp <file>', "lamp file (default: the project's, or Alcove-6)")
    .option('--firmware <file>', 'the build: run by simulated rigs, put into the lamp by others')
    .option('--simulated', 'on simulated rigs; else on rigs of real instruments alone')
    .option(
      '--build <name>',
      'name of the firmware build, for the record; in a schedule {date} is the day',
    )
    .option('--serial <number>', 'serial number of the lamp, for the record')
    .option(
      '--operator <name>',
      'name of the operator, for the record (default: EVENFALL_OPERATOR)',
    )
    .option('--seed <number>', 'seed of simulated lamps', seedNumber, 1)
    .option('--flashing-ok', 'allow specs that flash at 3 Hz to 70 Hz on rigs that allow it, too')
    .option(
      '--until-decided <times>',
      'measure a condition that is inconclusive so many times more, while that may decide it',
      wholeNumber(1, mostAgain),
    )
    .addOption(
      new Option('--captures <which>', 'captures to keep').choices(captureChoices).default('all'),
    )
    .option('--shards <number>', 'how many shards (default: by --shard-time)', wholeNumber(1, 1000))
    .addOption(
      new Option('--shard-time <time>', 'what a shard may take on a rig, about')
        .argParser(timeWithin(1, 86_400))
        .default(600, '10 min'),
    );
}

function addWaitOptions(command: Command): Command {
  return command
    .option('--wait', 'wait for the end, and end with the exit code of the whole')
    .addOption(
      new Option('--junit <file>', 'write the JUnit report of the whole').implies({ wait: true }),
    )
    .addOption(new Option('--page <file>', 'write the page of the whole').implies({ wait: true }))
    .addOption(
      new Option(
        '--schedule <name>',
        'submit at the times of --cron, until evenfall lab schedule remove',
      ).conflicts([...['wait', 'junit', 'page']]),
    )
    .option(
      '--cron <times>',
      'minute, hour, day, month and day of the week, such as "30 2 * * 1-5"',
    )
    .option('--zone <zone>', 'time zone of --cron', 'UTC')
    .option('--quiet', 'print only what did not pass, and one line of counts');
}

async function submitSpecs(paths: readonly string[], options: Options, io: Io): Promise<number> {
  const client = labClient(options, io);
  const { tag: tags, only, lamp, firmware, quarantine, build, serial, seed, captures } = options;
  const { untilDecided: again, shards, shardTime, simulated = false, flashingOk = false } = options;
  const operator = options.operator ?? io.env['EVENFALL_OPERATOR'];
  const failedIn = await askedFailed(client, options, io);
  if (failedIn === 'nothing') return exitCodes.pass;
  const wanted = {
    ...{ paths, tags: [...tags], only: [...only], lamp, firmware, quarantine, build, seed },
    ...{ captures, shardTime, simulated, flashingOk },
    ...(serial !== undefined && { serial }),
    ...(operator !== undefined && { operator }),
    ...(shards !== undefined && { shards }),
    ...(again !== undefined && { again }),
    ...(failedIn && { failedIn: { ...failedIn, claims: [...failedIn.claims] } }),
  };
  if (options.schedule !== undefined) return keepSchedule(client, wanted, options, io);
  const submitted = await submit(client, wanted, io.cwd);
  const { submission } = submitted;
  const count = submitted.shards.length;
  const rigs = new Set(submitted.shards.flatMap((shard) => shard.rigs));
  io.stdout(
    `Submission ${submission}: ${count} ${count === 1 ? 'shard' : 'shards'} for ${[...rigs].join(', ')}\n`,
  );
  if (!options.wait) return exitCodes.pass;
  const tell = (progress: Progress): void => io.stderr(`${progressText(progress)}\n`);
  const { submission: ended } = await followSubmission(client, submission, {
    signal: io.interrupted,
    tell,
  }).catch((error) => {
    if (!io.interrupted.aborted) throw error;
    const text = `interrupted; the lab goes on with it. To end it: evenfall lab cancel ${submission}`;
    throw new Complaint('interrupted', text, { cause: error });
  });
  if (ended.state !== 'ended')
    throw new Complaint(
      'bench',
      `the submission ${ended.state}: ${ended.why ?? 'no reason given'}`,
    );
  return conclude(client, submission, options, io);
}

async function askedFailed(
  client: LabClient,
  { failedIn, lamp: file, simulated = false }: Options,
  io: Io,
): Promise<FailedIn | 'nothing' | undefined> {
  if (failedIn === undefined) return undefined;
  const { lamp } = lampToSubmit(file, io.cwd).lamp;
  await client.me();
  const found = await failedAtLab(client, failedIn, { lamp, simulated, cwd: io.cwd });
  return sayFailed(found, 'submit', io);
}

async function keepSchedule(
  client: LabClient,
  wanted: Wanted,
  { schedule: name = '', cron, zone }: Options,
  io: Io,
): Promise<number> {
  if (cron === undefined)
    throw new Complaint('usage', '--schedule: expected its times in --cron, found none');
  await schedule(client, wanted, { name, cron, zone }, io.cwd);
  io.stdout(`Schedule ${name}: ${cron} (${zone})\n`);
  return exitCodes.pass;
}

async function conclude(
  client: LabClient,
  submission: string,
  { junit, page, quiet }: Options,
  io: Io,
): Promise<number> {
  const at = `/api/submissions/${submission}/files`;
  for (const [file, name] of [
    [junit, 'junit.xml'],
    [page, 'index.html'],
  ] as const)
    if (file !== undefined)
      await writeFile(resolve(io.cwd, file), await client.fileAt(`${at}/${name}`));
  const bytes = await client.fileAt(`${at}/run.json`);
  const parsed = parseRunRecord(JSON.parse(Buffer.from(bytes).toString('utf8')));
  if (!parsed.ok)
    throw new Complaint('bad-file', `the record of the run: ${parsed.faults.join('; ')}`);
  const { record } = parsed;
  const look = { colour: io.colour, columns: io.columns };
  io.stdout(quiet ? renderQuietSummary(record, look, null) : renderSummary(record, look));
  if (inCi(io)) io.stdout(renderAnnotations(record));
  return exitCodeOfRun(record, io);
}

function progressText({ submission, shards }: Progress): string {
  const ended = shards.filter(({ state }) => state === 'ended').length;
  const running = shards
    .filter(({ state }) => state === 'running')
    .map(
      ({ number, rig, condition }) => `${number} on ${rig}${condition ? ` (${condition})` : ''}`,
    );
  const now = running.length > 0 ? `; shard ${running.join(', ')}` : '';
  return `${submission.state}: ${ended} of ${shards.length} shards ended${now}`;
}
