import { type ConformanceResult, conformance } from '../../../drivers/conformance/conformance.ts';
import type { DriverContext } from '../../../drivers/driver.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { findDriver } from '../../../drivers/registry.ts';
import { BenchError } from '../../bench/errors.ts';
import type { RigInstrument } from '../../bench/rig.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { makeBenchSafe } from '../../workflow/rig/rig-safe.ts';
import { takeRig, unreachable } from '../../workflow/rig/take-rig.ts';
import { exitCodes, interruptionCode } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { type RigOptions, readRigFiles } from './rig-files.ts';
import { rigUse } from './rig-news.ts';

interface TestOptions extends RigOptions {
  readonly json?: boolean;
}

/** `evenfall rig test`: holds every instrument, a driver of the user's own as well, to the promises of its port. */
export const register: Register = (command, io) => {
  command
    .description(
      'check that the drivers of a rig keep the promises of their ports; switches the lamp on',
    )
    .argument('[instruments...]', 'names in the rig file (default: all)')
    .requiredOption('--rig <file>', 'rig file')
    .option('--lamp <file>', 'lamp file (default: Alcove-6)')
    .option('--json', 'print a line of JSON for each promise')
    .action(async (names: string[], options: TestOptions) => {
      io.exitCode = await test(names, options, io);
    });
};

async function test(names: readonly string[], options: TestOptions, io: Io): Promise<number> {
  const files = readRigFiles(options, io);
  const chosen = chosenOf(files.rig.instruments, names);
  const { to, bench, leave } = await takeRig(files, rigUse(io));
  // Each promise reopens its instrument; two connections at a time are more than some take.
  await bench.close();
  let broken = 0;
  try {
    const context: DriverContext = { ...to, clock: new RealClock() };
    for (const entry of chosen) {
      for await (const result of testOne(entry, context)) {
        if (result.outcome === 'broken') broken++;
        tell(entry.name, result, options, io);
        if (io.interrupted.aborted) return interruptionCode(io);
      }
    }
  } catch (error) {
    throw error instanceof BenchError ? unreachable(error) : error;
  } finally {
    const { confirmed, detail } = await makeBenchSafe(null, to);
    io.stderr(`Safe state ${confirmed ? 'confirmed' : 'NOT confirmed'} (${detail})\n`);
    await leave();
  }
  if (broken > 0) io.stderr(`${broken} broken\n`);
  return broken > 0 ? exitCodes.bench : exitCodes.pass;
}

async function* testOne(
  entry: RigInstrument,
  context: DriverContext,
): AsyncGenerator<ConformanceResult> {
  const driver = await findDriver(entry.name, entry.driver, context.folder);
  const first = await driver(entry, context);
  const { kind } = first;
  await first.close();
  const { rig, lamp } = context;
  yield* conformance(kind, {
    lamp,
    open: async () => driver(entry, context),
    deadline: entry.deadline,
    ...(rig.supply ? { highestVolts: rig.supply.highestVolts } : {}),
  });
}

function chosenOf(
  instruments: readonly RigInstrument[],
  names: readonly string[],
): readonly RigInstrument[] {
  const known = instruments.map(({ name }) => name);
  const unknown = names.find((name) => !known.includes(name));
  if (unknown !== undefined)
    throw new Complaint(
      'usage',
      `"${unknown}" is not an instrument of this rig${didYouMean(unknown, known) || `; instruments: ${known.join(', ')}`}`,
    );
  return names.length === 0 ? instruments : instruments.filter(({ name }) => names.includes(name));
}

function tell(name: string, result: ConformanceResult, { json }: TestOptions, io: Io): void {
  if (json) io.stdout(`${JSON.stringify({ instrument: name, ...result })}\n`);
  else {
    const why = result.detail === '' ? '' : `\n    ${result.detail}`;
    io.stdout(`${name}: ${result.outcome.padEnd(8)} ${result.guarantee}${why}\n`);
  }
}
