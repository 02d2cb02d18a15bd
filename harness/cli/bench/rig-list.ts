import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { compareIdentity, openWhatOpens } from '../../../drivers/open-rig.ts';
import { calibrationState } from '../../bench/calibration-state.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Identity } from '../../bench/ports.ts';
import type { RigInstrument } from '../../bench/rig.ts';
import { describe, lockFile, readLock, stateOf } from '../../workflow/rig/rig-lock.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { textTable } from '../common/text-table.ts';
import { type RigOptions, readRigFiles } from './rig-files.ts';
import { takeLock } from './rig-news.ts';

interface ListOptions extends RigOptions {
  readonly json?: boolean;
}

/** One instrument as it is found now. */
interface Found {
  readonly name: string;
  readonly driver: string;
  readonly calibration: string;
  readonly identity: Identity | null;
  /** Empty where it is there and is the right one. */
  readonly trouble: string;
  /** Something that is no trouble. */
  readonly remark?: string;
}

/** `evenfall rig list`: who is there, who should be, and whose calibration is due. Sets nothing. */
export const register: Register = (command, io) => {
  command
    .description('ask every instrument for its identity and show its calibration')
    .requiredOption('--rig <file>', 'rig file')
    .option('--lamp <file>', 'lamp file (default: Alcove-6)')
    .option('--json', 'print JSON')
    .action(async (options: ListOptions) => {
      io.exitCode = await list(options, io);
    });
};

async function list(options: ListOptions, io: Io): Promise<number> {
  const files = readRigFiles(options, io);
  const { rig } = files;
  const file = lockFile(rig.rig, io.env);
  const holder = await readLock(file);
  const inUse = holder !== null && stateOf(holder) !== 'abandoned';
  if (inUse) io.stderr(`Rig ${rig.rig} is in use by ${describe(holder)}; nobody was asked\n`);
  const found: readonly Found[] = inUse
    ? rig.instruments.map((entry) => ({ ...known(entry), identity: null, trouble: 'in use' }))
    : await askAll(files, io);
  const safe = await readFile(`${file}.safe.json`, 'utf8').catch(() => null);
  if (options.json) io.stdout(`${JSON.stringify({ rig: rig.rig, inUse, instruments: found })}\n`);
  else {
    const rows = found.map(({ name, driver, identity, calibration, trouble, remark }) => [
      name,
      driver,
      identity ? [identity.maker, identity.model, identity.serial].filter(Boolean).join(' ') : '-',
      calibration,
      trouble || remark || 'there',
    ]);
    io.stdout(textTable([['instrument', 'driver', 'says', 'calibration', 'state'], ...rows]));
    if (safe) io.stdout(`Last made safe by a watchdog: ${lastSafe(safe)}\n`);
  }
  return inUse || found.every(({ trouble }) => trouble === '')
    ? exitCodes.pass
    : exitCodes.unreachable;
}

async function askAll(files: ReturnType<typeof readRigFiles>, io: Io): Promise<Found[]> {
  const { rig, lamp } = files;
  const lock = await takeLock(rig.rig, io);
  const folder = dirname(resolve(io.cwd, files.rigFile.file));
  const bench = await openWhatOpens({ rig, lamp, folder });
  try {
    return await Promise.all(
      rig.instruments.map(async (entry): Promise<Found> => {
        try {
          const instrument = bench.instruments.get(entry.name);
          if (!instrument) throw bench.errors.get(entry.name);
          const call = { signal: io.interrupted, deadline: entry.deadline };
          const identity = await instrument.identify(call);
          return { ...known(entry), identity, trouble: mismatch(entry, identity) };
        } catch (error) {
          const silent = error instanceof BenchError && error.kind === 'timeout';
          const isLink = bench.instruments.get(entry.name)?.kind === 'lamp-link';
          if (silent && isLink && rig.supply)
            return {
              ...known(entry),
              identity: null,
              trouble: '',
              remark: 'no answer; does the lamp have power?',
            };
          const trouble = error instanceof Error ? error.message : String(error);
          return { ...known(entry), identity: null, trouble };
        }
      }),
    );
  } finally {
    await bench.close();
    await lock.release();
  }
}

function known({ name, driver, calibration }: RigInstrument) {
  const today = new Date().toISOString();
  const state = calibration
    ? `${calibrationState(calibration.due, today)}, until ${calibration.due} (${calibration.certificate})`
    : 'none';
  return { name, driver, calibration: state };
}

function mismatch(entry: RigInstrument, identity: Identity): string {
  try {
    compareIdentity(entry, identity);
    return '';
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

function lastSafe(text: string): string {
  try {
    const { at, confirmed, detail } = JSON.parse(text) as Record<string, unknown>;
    return `${String(at)}, ${confirmed === true ? 'confirmed' : 'not confirmed'} (${String(detail)})`;
  } catch {
    return 'its note is unreadable';
  }
}
