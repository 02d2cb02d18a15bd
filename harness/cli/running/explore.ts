import { mkdirSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join, resolve } from 'node:path';
import { type Command, InvalidArgumentError, Option } from 'commander';
import writeFileAtomic from 'write-file-atomic';
import { benchFrame } from '../../explore/rig/bench-frame.ts';
import { type KeptFrame, specText } from '../../explore/spec-text.ts';
import { readFigure } from '../../files/read-figure.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { parseQuantity } from '../../units/parse-quantity.ts';
import { readCorpus, writeCorpus } from '../../workflow/exploring/corpus.ts';
import {
  type ExploreProgress,
  type ExploreResult,
  explore,
  type TimedDeviation,
} from '../../workflow/exploring/explore.ts';
import { exploreOnRig } from '../../workflow/exploring/explore-on-rig.ts';
import { refuseFaultsOfOtherFirmware } from '../../workflow/inputs/faults-of-build.ts';
import { type Bench, isSimulated } from '../../workflow/inputs/read-bench.ts';
import { readCountedFirmware } from '../../workflow/inputs/read-firmware.ts';
import { readRunBench, readRunSpecs } from '../../workflow/inputs/run-inputs.ts';
import { rigUse } from '../bench/rig-use.ts';
import { exitCodes } from '../common/exit-codes.ts';
import { faultOption, type SizedFault } from '../common/fault-option.ts';
import type { Io } from '../common/io.ts';
import { seedNumber, specPaths, wholeNumber } from '../common/options.ts';
import { renderBenchWork, renderClaim, renderDeviation, renderExplored } from './explored-text.ts';
import { refuseSimulationOptions } from './simulation-options.ts';

interface ExploreOptions {
  readonly lamp?: string;
  readonly rig?: string;
  readonly firmware?: string;
  readonly fault: readonly SizedFault[];
  readonly for?: number;
  readonly sequences?: number;
  readonly seed: number;
  readonly jobs?: number;
  readonly from?: string;
  readonly out: string;
  readonly first?: boolean;
  readonly flashingOk?: boolean;
  /** 0..1 */
  readonly brightest: number;
  /** s */
  readonly longest: number;
  readonly locks?: string;
}

/** s that a search lasts where nobody says how long. */
const usualTime = 60;
/** On a bench nobody is surprised by full light, nor waits for long. */
const usualBrightest = 0.3;
const usualLongest = 30;

export function register(command: Command, io: Io): void {
  command
    .addArgument(specPaths())
    .option('--lamp <file>', "lamp file (default: the project's, or Alcove-6)")
    .option('--rig <file>', "rig file (default: the project's, or the simulated one)")
    .option(
      '--firmware <file>',
      'WebAssembly build of the firmware (default: the reference firmware)',
    )
    .addOption(faultOption('seed a fault, to see whether the search finds it; repeatable'))
    .option('--for <time>', 'how long, e.g. "10 min" (default: 1 min)', duration)
    .option('--sequences <number>', 'end after so many sequences', wholeNumber(1))
    .option(
      '--seed <number>',
      'seed of the search (default: 1, or the one after that of the search in --from)',
      seedNumber,
    )
    .option('--jobs <number>', 'threads (default: one per core)', wholeNumber(1))
    .option('--from <folder>', 'begin with the sequences that an earlier search kept there')
    .option('--out <folder>', 'where specs and sequences are kept', 'explored')
    .option('--first', 'end with the first finding')
    .addOption(
      new Option('--brightest <level>', 'highest light of a channel on a rig')
        .argParser(share)
        .default(usualBrightest, '30 %'),
    )
    .addOption(
      new Option('--longest <time>', 'longest sequence on a rig')
        .argParser(duration)
        .default(usualLongest, '30 s'),
    )
    .option(
      '--flashing-ok',
      'allow light that flashes at 3 Hz or faster on a rig (read the cautions in README.md first)',
    )
    .option(
      '--locks <folder>',
      'folder of the locks of rigs and instruments (default: EVENFALL_LOCKS, or the temporary folder)',
    )
    .action(async (paths: string[], options: AskedOptions) => {
      io.exitCode = await search(paths, options, io);
    });
}

/** As the command line has them. */
interface AskedOptions extends Omit<ExploreOptions, 'seed'> {
  readonly seed?: number;
}

async function search(paths: readonly string[], asked: AskedOptions, io: Io): Promise<number> {
  const bench = readRunBench(asked, io.cwd);
  const { from } = asked;
  const earlier = from === undefined ? null : readCorpus(resolve(io.cwd, from));
  // A search that goes on draws what the earlier one did not.
  const options = { ...asked, seed: asked.seed ?? (earlier?.seed ?? 0) + 1 };
  const corpus = earlier?.sequences ?? [];
  return isSimulated(bench.rig)
    ? searchSimulated({ bench, paths, corpus }, options, io)
    : searchOnRig({ bench, corpus }, options, io);
}

interface SearchInputs {
  readonly bench: Bench;
  readonly corpus: readonly (readonly WrittenStep[])[];
}

async function searchSimulated(
  { bench, paths, corpus }: SearchInputs & { readonly paths: readonly string[] },
  options: ExploreOptions,
  io: Io,
): Promise<number> {
  const { lamp, rig, plans } = readRunSpecs({ paths, tags: [] }, bench, io.cwd);
  const { firmware, fault: faults, seed } = options;
  const build = firmware === undefined ? undefined : await readCountedFirmware(firmware, io.cwd);
  if (build) refuseFaultsOfOtherFirmware([...faults], build, lamp);
  const result = await explore({
    ...common(options, corpus, io),
    tried: { lamp, rig, lampSeed: seed, faults, ...(build && { firmware: build }) },
    jobs: options.jobs ?? availableParallelism(),
    plans,
    signal: io.interrupted,
    onClaim: (claim) => io.stdout(`${renderClaim(claim)}\n`),
  });
  return conclude(result, undefined, options, io);
}

/** The claims are left to `run`, which stores what it sees; here the bench's time goes to sequences. */
async function searchOnRig(
  { bench, corpus }: SearchInputs,
  options: ExploreOptions,
  io: Io,
): Promise<number> {
  refuseSimulationOptions(options);
  const { lamp, rig } = bench;
  const { seed, brightest, longest, flashingOk = false } = options;
  const { rig: simulatedRig } = readRunBench({ lamp: options.lamp }, io.cwd);
  const result = await exploreOnRig(
    {
      ...common(options, corpus, io),
      bench,
      simulated: { lamp, rig: simulatedRig, lampSeed: seed, faults: [] },
      terms: { brightest, longest, flashingOk },
      onBenchError: (text) => io.stderr(`bench error: ${text}\n`),
    },
    rigUse(io, options.locks),
  );
  io.stdout(renderBenchWork(result));
  const frameOf = (steps: readonly WrittenStep[]) => benchFrame(steps, { lamp, rig, brightest });
  const code = await conclude(result, frameOf, options, io);
  return result.cutShort !== null && code === exitCodes.pass ? exitCodes.bench : code;
}

/** What a search is told, wherever it is made. */
function common(options: ExploreOptions, corpus: SearchInputs['corpus'], io: Io) {
  const { seed, sequences, first = false } = options;
  return {
    seed,
    seconds: options.for ?? (sequences === undefined ? usualTime : Number.POSITIVE_INFINITY),
    sequences: sequences ?? Number.POSITIVE_INFINITY,
    corpus,
    first,
    onProgress: progressTo(io),
    onDeviation: (deviation: TimedDeviation) => io.stdout(`${renderDeviation(deviation)}\n`),
  };
}

type FrameOf = (steps: readonly WrittenStep[]) => KeptFrame;

/** Keeps what was found; the exit code says whether anything was. */
async function conclude(
  result: ExploreResult,
  frameOf: FrameOf | undefined,
  options: ExploreOptions,
  io: Io,
): Promise<number> {
  const out = resolve(io.cwd, options.out);
  mkdirSync(out, { recursive: true });
  await writeCorpus(out, { seed: options.seed, sequences: result.corpus });
  const specs = result.found.map((deviation, index) =>
    keptSpec(deviation, index + 1, options, frameOf?.(deviation.steps)),
  );
  for (const { name, text } of specs) await writeFileAtomic(join(out, name), text);
  const files = specs.map(({ name }) => join(options.out, name));
  io.stdout(renderExplored(result, files));
  if (result.deviations === 0) return exitCodes.pass;
  const certain = result.claims.length > 0 || result.found.some(({ ofReference }) => !ofReference);
  return certain ? exitCodes.fail : exitCodes.inconclusive;
}

/** Progress goes to stderr once a second: results alone stand on stdout. */
function progressTo(io: Io): (progress: ExploreProgress) => void {
  let last = 0;
  return ({ sequences, seconds, reached, deviations }) => {
    if (seconds - last < 1) return;
    last = seconds;
    const rate = Math.round(sequences / seconds);
    io.stderr(
      `${Math.round(seconds)} s: ${sequences} sequences (${rate} a second), ${reached} kinds of course, ${deviations} deviations\n`,
    );
  };
}

function keptSpec(
  deviation: TimedDeviation,
  number: number,
  { seed }: ExploreOptions,
  frame: KeptFrame | undefined,
): { readonly name: string; readonly text: string } {
  const spec = `explored-${seed}-${number}`;
  const claim = 'The light and the answers follow the model of the lamp.';
  const origin = [
    `Found by evenfall explore --seed ${seed}, sequence ${deviation.sequence}, after ${deviation.after.toFixed(1)} s: ${deviation.kind}.`,
  ];
  return {
    name: `${spec}.spec.yaml`,
    text: specText({ spec, claim, origin }, deviation.steps, frame),
  };
}

function duration(text: string): number {
  const parsed = parseQuantity(text);
  if (parsed.ok && parsed.quantity.dimension === 'time' && parsed.quantity.value > 0)
    return parsed.quantity.value;
  throw new InvalidArgumentError(`expected a time such as "10 min", found "${text}".`);
}

/** 0..1 */
function share(text: string): number {
  const read = readFigure(text, 'ratio', { least: 0.001, most: 1 });
  if ('value' in read) return read.value;
  throw new InvalidArgumentError(`${read.problem}.`);
}
