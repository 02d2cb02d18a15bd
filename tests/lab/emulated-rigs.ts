import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import { writeRig } from '../cli/emulated-rig.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import type { LabDesk } from './lab-desk.ts';

export interface EmulatedRig {
  readonly name: string;
  readonly emulation: Emulation;
  readonly file: string;
}

/** A bench of a lab over real ports, in a folder of its own. `more`: the end of its rig file. */
export async function emulatedRig(lab: LabDesk, name: string, more = ''): Promise<EmulatedRig> {
  const emulation = await openTestEmulation();
  const folder = join(lab.cwd, name);
  mkdirSync(folder);
  // Who was killed may hold a port for a moment.
  const patient = (text: string): string =>
    text
      .replace(/(\n {4}driver: (?:console|dali|scpi)\n)/g, '$1    retries: 3\n')
      .replace(/^rig: .*$/m, `rig: ${name}`);
  return { name, emulation, file: writeRig(emulation, folder, (text) => patient(text) + more) };
}
