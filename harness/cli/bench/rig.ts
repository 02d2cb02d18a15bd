import type { Register } from '../common/io.ts';
import { register as calibrate } from './rig-calibrate.ts';
import { register as list } from './rig-list.ts';
import { register as safe } from './rig-safe.ts';
import { register as serve } from './rig-serve.ts';
import { register as standard } from './rig-standard.ts';
import { register as test } from './rig-test.ts';

/** `evenfall rig list|test|safe|calibrate|standard|serve`: the life of a rig between runs. */
export const register: Register = (command, io) => {
  list(command.command('list'), io);
  test(command.command('test'), io);
  safe(command.command('safe'), io);
  calibrate(command.command('calibrate'), io);
  standard(command.command('standard'), io);
  serve(command.command('serve'), io);
};
