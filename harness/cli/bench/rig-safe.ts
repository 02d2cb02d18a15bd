import { dirname, resolve } from 'node:path';
import { acquireRigLock } from '../../workflow/rig/acquire-rig.ts';
import { makeRigSafe } from '../../workflow/rig/rig-safe.ts';
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
    .option('--force', 'even while a run is using the rig; that run will fail')
    .action(async (options: SafeOptions) => {
      io.exitCode = await makeSafeNow(options, io);
    });
};

async function makeSafeNow(options: SafeOptions, io: Io): Promise<number> {
  const { rig, lamp } = readRigFiles(options, io);
  const folder = dirname(resolve(io.cwd, options.rig));
  const lock = options.force ? null : await acquireRigLock(rig.rig, rigUse(io));
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
