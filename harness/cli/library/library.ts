import type { Register } from '../common/io.ts';
import { register as diff } from './library-diff.ts';
import { register as update } from './library-update.ts';

/** `evenfall library diff|update`: a project's copies of specs, and the library of the installed version. */
export const register: Register = (command, io) => {
  diff(command.command('diff'), io);
  update(command.command('update'), io);
};
