import type { Register } from '../common/io.ts';
import { fileKinds } from './file-kinds.ts';
import { registerFile } from './new-file.ts';
import { register as firmware } from './new-firmware.ts';
import { register as project } from './new-project.ts';

/** `evenfall new spec|lamp|rig|policy|firmware|project`: something to begin with. */
export const register: Register = (command, io) => {
  for (const kind of fileKinds) registerFile(command.command(kind), kind, io);
  firmware(command.command('firmware'), io);
  project(command.command('project'), io);
};
