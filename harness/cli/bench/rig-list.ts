import { readFile } from 'node:fs/promises';
import { calibrationState } from '../../bench/calibration-state.ts';
import type { Identity } from '../../bench/ports.ts';
import type { RigInstrument } from '../../bench/rig.ts';
import { holdersOf, type RigFiles } from '../../workflow/rig/acquire-rig.ts';
import { askInstruments } from '../../workflow/rig/ask-instruments.ts';
import { holderText, lockFile } from '../../workflow/rig/lock-file.ts';
import type { RigUse } from '../../workflow/rig/rig-event.ts';
import { safeNoteFile } from '../../workflow/rig/rig-safe.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { textTable } from '../common/text-table.ts';
import { addRigOptions, type RigOptions, readRigFiles } from './rig-options.ts';
import { rigUse } from './rig-use.ts';

interface ListOptions extends RigOptions {
  readonly json?: boolean;
}

/** One instrument as `--json` prints it. */
interface ListedInstrument {
  readonly name: string;
  readonly driver: string;
  readonly calibration: string;
  readonly identity: Identity | null;
  readonly trouble: string;
  readonly remark?: string;
}

/** `evenfall rig list`: who is there, who should be, and whose calibration is due. Sets nothing. */
export const register: Register = (command, io) => {
  addRigOptions(command)
    .description('ask every instrument for its identity and show its calibration')
    .option('--json', 'print JSON')
    .action(async (options: ListOptions) => {
      io.exitCode = await list(options, io);
    });
};

async function list(options: ListOptions, io: Io): Promise<number> {
  const files = readRigFiles(options, io);
  const { rig } = files;
  const use = rigUse(io, options.locks);
  const [holder] = await holdersOf(files, use);
  const inUse = holder !== undefined;
  if (inUse)
    io.stderr(`Rig ${rig.rig} is in use by ${holderText(holder)}; no instrument was asked\n`);
  const instruments = inUse ? unasked(files) : await asked(files, use);
  if (options.json) io.stdout(`${JSON.stringify({ rig: rig.rig, inUse, instruments })}\n`);
  else {
    io.stdout(tableOf(instruments));
    const note = await readFile(safeNoteFile(lockFile(rig.rig, use.locks)), 'utf8').catch(
      () => null,
    );
    if (note) io.stdout(`Last made safe by a watchdog: ${lastSafe(note)}\n`);
  }
  return inUse || instruments.every(({ trouble }) => trouble === '')
    ? exitCodes.pass
    : exitCodes.unreachable;
}

function unasked({ rig }: RigFiles): ListedInstrument[] {
  return rig.instruments.map((entry) => ({ ...known(entry), identity: null, trouble: 'in use' }));
}

async function asked(files: RigFiles, use: RigUse): Promise<ListedInstrument[]> {
  const answers = await askInstruments(files, use);
  return answers.map(({ entry, ...answer }) => ({ ...known(entry), ...answer }));
}

function known({ name, driver, calibration }: RigInstrument) {
  const today = new Date().toISOString();
  const state = calibration
    ? `${calibrationState(calibration.due, today)}, until ${calibration.due} (${calibration.certificate})`
    : 'none';
  return { name, driver, calibration: state };
}

function tableOf(instruments: readonly ListedInstrument[]): string {
  const rows = instruments.map(({ name, driver, identity, calibration, trouble, remark }) => [
    name,
    driver,
    identity ? [identity.maker, identity.model, identity.serial].filter(Boolean).join(' ') : '-',
    calibration,
    trouble || remark || 'present',
  ]);
  return textTable([['instrument', 'driver', 'identity', 'calibration', 'state'], ...rows]);
}

function lastSafe(text: string): string {
  try {
    const { at, confirmed, detail } = JSON.parse(text) as Record<string, unknown>;
    return `${String(at)}, ${confirmed === true ? 'confirmed' : 'NOT confirmed'} (${String(detail)})`;
  } catch {
    return 'its note is unreadable';
  }
}
