import { hostname } from 'node:os';
import { dirname, resolve } from 'node:path';
import { acquireRigLock, holdersOf, type RigFiles } from '../../workflow/rig/acquire-rig.ts';
import { holderText } from '../../workflow/rig/lock-file.ts';
import type { RigUse } from '../../workflow/rig/rig-event.ts';
import { makeRigSafe } from '../../workflow/rig/rig-safe.ts';
import { writeTakenNote } from '../../workflow/rig/taken-note.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { addRigOptions, type RigOptions, readRigFiles } from './rig-options.ts';
import { rigUse } from './rig-use.ts';

interface SafeOptions extends RigOptions {
  readonly force?: boolean;
}

/** `evenfall rig safe`: lamp off, supply off, confirmed. */
export const register: Register = (command, io) => {
  addRigOptions(command)
    .description('switch lamp and supply off, and say whether that was confirmed')
    .option('--force', 'even while a run is using the rig; that run ends with a bench error')
    .action(async (options: SafeOptions) => {
      io.exitCode = await makeSafeNow(options, io);
    });
};

async function makeSafeNow(options: SafeOptions, io: Io): Promise<number> {
  const files = readRigFiles(options, io);
  const { rig, lamp } = files;
  const use = rigUse(io, options.locks);
  const folder = dirname(resolve(io.cwd, options.rig));
  const lock = options.force ? null : await acquireRigLock(files, use);
  if (options.force) await takeFromRuns(files, use, io);
  try {
    const { confirmed, detail } = await makeRigSafe({ rig, lamp, folder });
    io.stdout(
      `Rig ${rig.rig}: safe state ${confirmed ? 'confirmed' : 'NOT confirmed'} (${detail})\n`,
    );
    return confirmed ? exitCodes.pass : exitCodes.bench;
  } finally {
    await lock?.release();
  }
}

/** Before the first instrument is touched, runs that use one of them learn why their light goes out. Nothing here keeps it on. */
async function takeFromRuns(files: RigFiles, use: RigUse, io: Io): Promise<void> {
  const why = `the rig was switched off by force (evenfall rig safe --force, process ${process.pid} on ${hostname()}, ${new Date().toISOString()}); resume the run`;
  try {
    for (const holder of await holdersOf(files, use)) {
      await writeTakenNote(use.locks, holder, { why });
      io.stderr(`Takes the rig from ${holderText(holder)}\n`);
    }
  } catch (error) {
    io.stderr(`No run could be told: ${(error as Error).message}\n`);
  }
}
