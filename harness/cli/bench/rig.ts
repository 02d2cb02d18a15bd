import { dirname, resolve } from 'node:path';
import type { Command } from 'commander';
import { standGuard } from '../../workflow/rig/rig-watchdog.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { register as calibrate } from './rig-calibrate.ts';
import { readRigFiles } from './rig-files.ts';
import { register as list } from './rig-list.ts';
import { register as safe } from './rig-safe-command.ts';
import { register as test } from './rig-test.ts';

/** `evenfall rig list|test|safe|calibrate`: the life of a rig between runs. */
export function register(command: Command, io: Io): void {
  list(command.command('list'), io);
  test(command.command('test'), io);
  safe(command.command('safe'), io);
  calibrate(command.command('calibrate'), io);
  // Started by a run, for itself.
  command
    .command('watchdog', { hidden: true })
    .requiredOption('--rig <file>')
    .requiredOption('--lamp <file>')
    .requiredOption('--lock <file>')
    .action(async (options: { rig: string; lamp: string; lock: string }) => {
      const { rig, lamp } = readRigFiles(options, io);
      const folder = dirname(resolve(io.cwd, options.rig));
      const safe = await standGuard({ rig, lamp, folder }, options.lock);
      io.exitCode = safe ? exitCodes.pass : exitCodes.bench;
      // The instruments' ports may keep the process alive, and it has nothing more to do.
      process.exit(io.exitCode);
    });
}
