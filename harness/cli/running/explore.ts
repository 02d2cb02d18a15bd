import { mkdirSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join, resolve } from 'node:path';
import { type Command, InvalidArgumentError } from 'commander';
import writeFileAtomic from 'write-file-atomic';
import { specText } from '../../explore/spec-text.ts';
import { parseQuantity } from '../../units/parse-quantity.ts';
import { readCorpus, writeCorpus } from '../../workflow/exploring/corpus.ts';
import {
  type ExploreProgress,
  explore,
  type TimedDeviation,
} from '../../workflow/exploring/explore.ts';
import { refuseFaultsOfOtherFirmware } from '../../workflow/inputs/faults-of-build.ts';
import { readCountedFirmware } from '../../workflow/inputs/read-firmware.ts';
import { readRunInputs } from '../../workflow/inputs/run-inputs.ts';
import { exitCodes } from '../common/exit-codes.ts';
import { faultOption, type SizedFault } from '../common/fault-option.ts';
import type { Io } from '../common/io.ts';
import { seedNumber, specPaths, wholeNumber } from '../common/options.ts';
import { renderClaim, renderDeviation, renderExplored } from './explored-text.ts';

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
}

/** s that a search lasts where nobody says how long. */
const usualTime = 60;

export function register(command: Command, io: Io): void {
  command
    .addArgument(specPaths())
    .option('--lamp <file>', 'lamp file (default: the shipped lamp)')
    .option('--rig <file>', 'simulated rig (default: the shipped rig)')
    .option(
      '--firmware <file>',
      'WebAssembly build of the firmware (default: the reference firmware)',
    )
    .addOption(faultOption('seed a fault, to see whether the search finds it; repeatable'))
    .option('--for <time>', 'how long, e.g. "10 min" (default: 1 min)', duration)
    .option('--sequences <number>', 'end after so many sequences', wholeNumber(1))
    .option('--seed <number>', 'seed of the search', seedNumber, 1)
    .option('--jobs <number>', 'threads (default: one per core)', wholeNumber(1))
    .option('--from <folder>', 'begin with the sequences that an earlier search kept there')
    .option('--out <folder>', 'where specs and sequences are kept', 'explored')
    .option('--first', 'end with the first finding')
    .action(async (paths: string[], options: ExploreOptions) => {
      io.exitCode = await search(paths, options, io);
    });
}

async function search(paths: readonly string[], options: ExploreOptions, io: Io): Promise<number> {
  const { lamp, rig, plans } = readRunInputs({ ...options, paths, tags: [] }, io.cwd);
  const { firmware, fault: faults, seed, from } = options;
  const build = firmware === undefined ? undefined : await readCountedFirmware(firmware, io.cwd);
  if (build) refuseFaultsOfOtherFirmware([...faults], build, lamp);
  const out = resolve(io.cwd, options.out);
  const begin = from === undefined ? [] : readCorpus(resolve(io.cwd, from));
  const result = await explore({
    tried: { lamp, rig, lampSeed: seed, faults, ...(build && { firmware: build }) },
    jobs: options.jobs ?? availableParallelism(),
    seed,
    seconds:
      options.for ?? (options.sequences === undefined ? usualTime : Number.POSITIVE_INFINITY),
    sequences: options.sequences ?? Number.POSITIVE_INFINITY,
    corpus: begin,
    plans,
    first: options.first ?? false,
    signal: io.interrupted,
    onProgress: progressTo(io),
    onDeviation: (deviation) => io.stdout(`${renderDeviation(deviation)}\n`),
    onClaim: (claim) => io.stdout(`${renderClaim(claim)}\n`),
  });
  mkdirSync(out, { recursive: true });
  await writeCorpus(out, result.corpus);
  const specs = result.found.map((deviation, index) => keptSpec(deviation, index + 1, options));
  for (const { name, text } of specs) await writeFileAtomic(join(out, name), text);
  io.stdout(
    renderExplored(
      result,
      specs.map(({ name }) => join(options.out, name)),
    ),
  );
  return result.deviations > 0 ? exitCodes.fail : exitCodes.pass;
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
): { readonly name: string; readonly text: string } {
  const spec = `explored-${seed}-${number}`;
  const claim = 'The light and the answers follow the model of the lamp.';
  const origin = [
    `Found by evenfall explore --seed ${seed}, sequence ${deviation.sequence}, after ${deviation.after.toFixed(1)} s: ${deviation.kind}.`,
  ];
  return { name: `${spec}.spec.yaml`, text: specText({ spec, claim, origin }, deviation.steps) };
}

function duration(text: string): number {
  const parsed = parseQuantity(text);
  if (parsed.ok && parsed.quantity.dimension === 'time' && parsed.quantity.value > 0)
    return parsed.quantity.value;
  throw new InvalidArgumentError(`expected a time such as "10 min", found "${text}".`);
}
