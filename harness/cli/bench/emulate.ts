import { resolve } from 'node:path';
import { InvalidArgumentError } from 'commander';
import {
  type Emulation,
  emulatedNames,
  openEmulation,
} from '../../../drivers/plant/emulate/emulation.ts';
import { linkTerminal } from '../../../drivers/plant/emulate/link-terminal.ts';
import { readTrouble, type Trouble, troubleKinds } from '../../../drivers/plant/emulate/trouble.ts';
import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { refuseFaultsOfOtherFirmware } from '../../workflow/inputs/faults-of-build.ts';
import { readBench } from '../../workflow/inputs/read-bench.ts';
import { readFirmware } from '../../workflow/inputs/read-firmware.ts';
import { shippedFile } from '../../workflow/inputs/shipped-file.ts';
import { exitCodes } from '../common/exit-codes.ts';
import { faultOption, type SizedFault } from '../common/fault-option.ts';
import { aborted, type Io, type Register } from '../common/io.ts';
import { repeatedOption, seedNumber, wholeNumber } from '../common/options.ts';

interface EmulateOptions {
  readonly lamp?: string;
  readonly rig?: string;
  readonly firmware?: string;
  readonly portBase: number;
  readonly sacnPort: number;
  readonly consoleLink: string;
  readonly dmxLink: string;
  readonly speed: number;
  readonly chamberTime: number;
  readonly seed: number;
  readonly fault: readonly SizedFault[];
  readonly trouble: readonly string[];
  readonly factoryFresh?: boolean;
}

/** `evenfall emulate`: the simulated lamp and its instruments behind real transports, until Ctrl-C. */
export const register: Register = (command, io) => {
  const kinds = Object.entries(troubleKinds).map(
    ([kind, about]) => `  ${kind.padEnd(10)} ${about}`,
  );
  command
    .option('--lamp <file>', "lamp file (default: the project's, or Alcove-6)")
    .option('--rig <file>', 'rig file that says what each input sees (default: the emulated rig)')
    .option('--firmware <file>', 'WebAssembly build of your firmware for the lamp to run')
    .option(
      '--port-base <number>',
      'first of ten TCP ports; 0 picks free ones',
      wholeNumber(0, 65_530),
      15_025,
    )
    .option(
      '--sacn-port <number>',
      'UDP port for sACN; 0 picks a free one',
      wholeNumber(0, 65_535),
      5568,
    )
    .option(
      '--console-link <path>',
      'path for a link to the pseudo-terminal of the console',
      '/tmp/evenfall-console',
    )
    .option(
      '--dmx-link <path>',
      'path for a link to the pseudo-terminal of the DMX512 line',
      '/tmp/evenfall-dmx',
    )
    .option(
      '--chamber-time <seconds>',
      'time constant of the air in the chamber',
      chamberSeconds,
      20,
    )
    .option('--speed <factor>', 'seconds of lamp time per second of real time', factor, 1)
    .option('--seed <number>', 'seed of lamp, noise and calibration errors', seedNumber, 1)
    .addOption(faultOption('seed a fault into the lamp; repeatable'))
    .addOption(
      repeatedOption(
        '--trouble <kind[=time][,on=instrument][,from=n][,once]>',
        'make the bench misbehave from the n-th answer on; repeatable',
      ),
    )
    .option('--factory-fresh', 'start each power-on with a lamp that remembers nothing')
    .addHelpText('after', `\nKinds of trouble:\n${kinds.join('\n')}`)
    .action(async (options: EmulateOptions) => {
      io.exitCode = await emulate(options, io);
    });
};

async function emulate(options: EmulateOptions, io: Io): Promise<number> {
  const rigFile = options.rig ?? shippedFile('rigs/emulated.rig.yaml', io.cwd);
  const { lamp, rig } = readBench({ lamp: options.lamp, rig: rigFile }, io.cwd);
  const { portBase, sacnPort, seed, speed, chamberTime, fault: faults } = options;
  const firmware =
    options.firmware === undefined ? undefined : await readFirmware(options.firmware, io.cwd, lamp);
  if (firmware) refuseFaultsOfOtherFirmware([...faults], firmware, lamp);
  const emulation = await openEmulation({
    lamp,
    rig,
    portBase,
    sacnPort,
    seed,
    speed,
    chamberTime,
    faults,
    firmware,
    factoryFresh: options.factoryFresh ?? false,
    troubles: options.trouble.map((text) => troubleOf(text, rig)),
    say: (text) => io.stderr(`evenfall: ${text}\n`),
  }).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== 'EADDRINUSE') throw error;
    const other =
      'another emulation may be running; choose other ports with --port-base and --sacn-port';
    throw new Complaint('unreachable', `${error.message}: ${other}`, { cause: error });
  });
  const names = emulatedNames(rig);
  const links = new Map([
    [names.console, options.consoleLink],
    [names.dmx, options.dmxLink],
  ]);
  const laid = layLinks(emulation, links, io);
  try {
    introduce(emulation, { lamp, firmware }, laid, io);
    await aborted(io.interrupted);
  } finally {
    for (const { unlink } of laid) unlink();
    await emulation.close();
  }
  io.stderr('Emulated bench closed.\n');
  return exitCodes.pass;
}

/** A link that lies at a path, to the terminal of an endpoint. */
interface LaidLink {
  readonly name: string;
  readonly path: string;
  unlink(): void;
}

function introduce(
  { endpoints }: Emulation,
  { lamp, firmware }: { readonly lamp: Lamp; readonly firmware: FirmwareImage | undefined },
  links: readonly LaidLink[],
  io: Io,
): void {
  for (const { name, address, about } of endpoints) {
    const link = address.startsWith('/') && links.find((own) => own.name === name);
    const linked = link ? `, also at ${link.path}` : '';
    io.stdout(`${name.padEnd(14)} ${address.padEnd(26)} ${about}${linked}\n`);
  }
  const running = firmware ? `, running ${firmware.name}` : '';
  io.stdout(`ready: ${lamp.lamp}, simulated${running}; Ctrl-C ends it\n`);
}

/** A link to each terminal; where one cannot be laid, the others are all the same. */
function layLinks(
  { endpoints }: Emulation,
  paths: ReadonlyMap<string, string>,
  io: Io,
): readonly LaidLink[] {
  return endpoints.flatMap(({ name, address }) => {
    const path = paths.get(name);
    if (path === undefined || !address.startsWith('/')) return [];
    try {
      return [{ name, path, unlink: linkTerminal(address, resolve(io.cwd, path)) }];
    } catch (error) {
      io.stderr(`evenfall: no link to ${name}: ${(error as Error).message}\n`);
      return [];
    }
  });
}

function troubleOf(text: string, rig: Rig): Trouble {
  const read = readTrouble(text, Object.values(emulatedNames(rig)));
  if ('problem' in read) throw new Complaint('usage', `--trouble ${text}: ${read.problem}`);
  return read;
}

function chamberSeconds(text: string): number {
  const value = Number(text);
  if (value >= 0.1 && value <= 3600) return value;
  throw new InvalidArgumentError(`expected seconds from 0.1 to 3600, found "${text}".`);
}

function factor(text: string): number {
  const value = Number(text);
  if (value >= 0.01 && value <= 100) return value;
  throw new InvalidArgumentError(`expected a factor from 0.01 to 100, found "${text}".`);
}
