import type { ConformanceResult } from '../../../drivers/conformance/conformance.ts';
import type { RigInstrument } from '../../bench/rig.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { checkDrivers } from '../../workflow/rig/check-drivers.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { addRigOptions, type RigOptions, readRigFiles } from './rig-options.ts';
import { rigUse } from './rig-use.ts';

interface TestOptions extends RigOptions {
  readonly json?: boolean;
}

/** `evenfall rig test`: holds every instrument, a driver of the user's own as well, to the promises of its port. */
export const register: Register = (command, io) => {
  addRigOptions(command)
    .description(
      'check that the drivers of a rig keep the promises of their ports; switches the lamp on',
    )
    .argument('[instruments...]', 'names in the rig file (default: all)')
    .option('--json', 'print each promise as a line of JSON')
    .action(async (names: string[], options: TestOptions) => {
      io.exitCode = await test(names, options, io);
    });
};

async function test(names: readonly string[], options: TestOptions, io: Io): Promise<number> {
  const files = readRigFiles(options, io);
  const entries = selected(files.rig.instruments, names);
  let broken = 0;
  await checkDrivers(files, entries, rigUse(io, options.locks), (instrument, result) => {
    if (result.outcome === 'broken') broken++;
    io.stdout(options.json ? jsonLine(instrument, result) : textLines(instrument, result));
  });
  if (broken > 0) io.stderr(`${broken} broken\n`);
  return broken > 0 ? exitCodes.bench : exitCodes.pass;
}

function selected(
  instruments: readonly RigInstrument[],
  names: readonly string[],
): readonly RigInstrument[] {
  const known = instruments.map(({ name }) => name);
  const unknown = names.find((name) => !known.includes(name));
  if (unknown !== undefined)
    throw new Complaint(
      'usage',
      `"${unknown}" is not an instrument of this rig${didYouMean(unknown, known) || `; its instruments are ${known.join(', ')}`}`,
    );
  return names.length === 0 ? instruments : instruments.filter(({ name }) => names.includes(name));
}

function jsonLine(instrument: string, result: ConformanceResult): string {
  return `${JSON.stringify({ instrument, ...result })}\n`;
}

function textLines(instrument: string, { outcome, guarantee, detail }: ConformanceResult): string {
  const why = detail === '' ? '' : `\n    ${detail}`;
  return `${instrument}: ${outcome.padEnd(8)} ${guarantee}${why}\n`;
}
