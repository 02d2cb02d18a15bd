import { resolve } from 'node:path';
import { Option } from 'commander';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import type { Plan } from '../../plan/plan.ts';
import { shortId } from '../../record/ids.ts';
import { type Traced, type TracedClaim, traceRequirements } from '../../record/traced.ts';
import { renderTracePage } from '../../report/pages/trace/trace-page.ts';
import { renderTraceText } from '../../report/text/trace-text.ts';
import { counted } from '../../report/words/prose.ts';
import { sealWarning } from '../../report/words/seal-words.ts';
import { nearestMargin } from '../../report/words/trace-words.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readSpecs } from '../../workflow/inputs/read-specs.ts';
import { usualLamp } from '../../workflow/project/project-file.ts';
import { claimsOfBuild } from '../../workflow/stored-runs/claims-of-build.ts';
import { withReportedIndex } from '../common/archive-index.ts';
import { readCheckedRun } from '../common/checked-run.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { writePage } from '../common/write-page.ts';
import { readRequirements } from './read-requirements.ts';

interface Options {
  readonly requirements: string;
  readonly lamp?: string;
  readonly reports: string;
  readonly build?: string;
  readonly run?: string;
  readonly withFaults?: boolean;
  readonly json?: boolean;
  readonly page?: string;
  readonly html?: string;
}

/** `evenfall trace`: requirement, the claims that cover it, and what the newest run of each said of it. */
export const register: Register = (command, io) => {
  command
    .argument('[path...]', 'spec files or folders of them (default: specs)')
    .requiredOption('--requirements <file>', 'CSV with the columns id and text')
    .option(
      '--lamp <file>',
      "lamp file to read the specs for (default: the project's, or Alcove-6)",
    )
    .option('--reports <dir>', 'the archive', 'reports')
    .option(
      '--build <build>',
      "the build whose runs count (default: that of the lamp's newest run)",
    )
    .addOption(new Option('--run <run>', 'only this stored run counts').conflicts('build'))
    .option('--with-faults', 'count runs with seeded faults too')
    .option('--json', 'as JSON')
    .option('--page <file>', 'also write a page with the matrix')
    .addOption(new Option('--html <file>', 'the same as --page').hideHelp())
    .addHelpText(
      'after',
      '\nOf each claim its newest run of the build counts, so that runs of parts of the\nspecs add up.',
    )
    .action((paths: string[], options: Options) =>
      withArchive(() => trace(paths.length > 0 ? paths : ['specs'], options, io)),
    );
};

/** Claims with what counts of them, and from where. */
interface Counted {
  readonly lamp: string;
  readonly build: string | null;
  readonly claims: readonly TracedClaim[];
}

async function trace(paths: readonly string[], options: Options, io: Io): Promise<void> {
  const { requirements: listed } = options;
  const requirements = readRequirements(readFile(listed, io.cwd).text, listed);
  const { lamp, plans } = readPlans(paths, options, io);
  const found =
    options.run === undefined
      ? await ofBuild(lamp.lamp, plans, options, io)
      : await ofRun(options.run, plans, options, io);
  const traced = traceRequirements(requirements, found.claims);
  const words = countedWords(found, options);
  const page = options.page ?? options.html;
  if (page !== undefined) {
    const { lamp, build } = found;
    await writePage(
      page,
      renderTracePage({ lamp, build, traced, listed, counted: `${words}.` }),
      io,
    );
  }
  if (options.json) io.stdout(`${JSON.stringify(jsonOf(found, traced), null, 2)}\n`);
  else io.stdout(renderTraceText(traced, { listed, counted: words, columns: io.columns }));
  if (traced.uncovered.length > 0 && io.exitCode === exitCodes.pass) io.exitCode = exitCodes.fail;
}

function readPlans(
  paths: readonly string[],
  options: Options,
  io: Io,
): { readonly lamp: Lamp; readonly plans: readonly Plan[] } {
  const lampFile = options.lamp ?? usualLamp(io.cwd);
  const lamp = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  if (!('lamp' in lamp)) throw new BadFiles(lamp.issues);
  const specs = readSpecs(paths, lamp.lamp, io.cwd);
  if (specs.issues.length > 0) throw new BadFiles(specs.issues);
  return { lamp: lamp.lamp, plans: specs.plans };
}

async function ofBuild(
  lamp: string,
  plans: readonly Plan[],
  { reports, build, withFaults }: Options,
  io: Io,
): Promise<Counted> {
  const root = resolve(io.cwd, reports);
  const { altered, ...found } = await withReportedIndex(root, io, {}, (index) =>
    claimsOfBuild(index, root, plans, { lamp, build, withFaults }),
  );
  for (const [folder, seal] of altered) {
    io.stderr(`evenfall: left out: ${folder}: ${sealWarning(seal)}\n`);
    io.exitCode = exitCodes.refused;
  }
  return { lamp, ...found };
}

async function ofRun(
  run: string,
  plans: readonly Plan[],
  { reports }: Options,
  io: Io,
): Promise<Counted> {
  const { record } = await readCheckedRun(await findRunFolder(resolve(io.cwd, reports), run), io);
  const claims = plans.map(({ spec, claim, file, traces, digest }): TracedClaim => {
    const own = record.specs.find((candidate) => candidate.spec === spec);
    const told = { id: record.id, started: record.startedAt };
    const result = own
      ? { spec: own, run: told, isOlder: false, isChanged: own.digest !== digest }
      : null;
    return { spec, claim, file, traces, result, elsewhere: null };
  });
  return { lamp: record.lamp.name, build: record.lamp.build, claims };
}

/** Which runs the verdicts are of. */
function countedWords({ lamp, build, claims }: Counted, { run, withFaults }: Options): string {
  const seeded = withFaults ? ', runs with seeded faults too' : '';
  if (build === null)
    return `no stored run of ${lamp}${withFaults ? '' : ' without a seeded fault'}`;
  const runs = runsOf(claims);
  const [first] = runs;
  if (run !== undefined || runs.length < 2) {
    const named = first
      ? `run ${shortId(first.id)}, ${minuteOf(first.started)} UTC`
      : 'no run of these claims';
    return `verdicts of ${lamp}, build ${build}, ${named}${seeded}`;
  }
  const older = claims.filter(({ result }) => result?.isOlder).length;
  const span = `from ${minuteOf(first?.started)} to ${minuteOf(runs.at(-1)?.started)} UTC`;
  return `verdicts of ${lamp}, build ${build}: of each claim its newest of ${counted(runs.length, 'run')} ${span}${seeded}; ${counted(older, 'claim')} of older runs than the newest`;
}

function minuteOf(instant = ''): string {
  return instant.slice(0, 16).replace('T', ' ');
}

/** Oldest first. */
function runsOf(claims: readonly TracedClaim[]) {
  const runs = claims.flatMap(({ result }) => (result ? [result.run] : []));
  const single = [...new Map(runs.map((run) => [run.id, run])).values()];
  return single.sort((a, b) => a.started.localeCompare(b.started));
}

function jsonOf({ lamp, build, claims }: Counted, traced: Traced) {
  return {
    format: 'evenfall-trace',
    version: 2,
    lamp,
    build,
    runs: runsOf(claims),
    uncovered: traced.uncovered.map(({ id }) => id),
    unclaimed: traced.unclaimed.map(({ spec }) => spec),
    neverRan: traced.neverRan.map(({ spec, elsewhere }) => ({ spec, elsewhere })),
    unknown: traced.unknown,
    requirements: traced.requirements.map(({ claims: own, ...requirement }) => ({
      ...requirement,
      claims: own.map(claimJson),
    })),
  };
}

function claimJson({ spec, claim, file, result }: TracedClaim) {
  const verdict = result?.spec.verdict ?? null;
  const margin = result && nearestMargin(result.spec);
  const [run, started] = [result?.run.id ?? null, result?.run.started ?? null];
  const { isOlder = null, isChanged = null } = result ?? {};
  return { spec, claim, file, verdict, margin, run, started, isOlder, isChanged };
}
