import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';

export const specsFolder = join(import.meta.dirname, '..', '..', 'specs');

/** One of the lamps that ship with Evenfall. */
export function shippedLamp(name: string): Lamp {
  const file = join(specsFolder, 'lamps', `${name}.lamp.yaml`);
  const read = readLamp(readFileSync(file, 'utf8'), file);
  if ('lamp' in read) return read.lamp;
  throw new Error(read.issues.map(({ line, message }) => `${line}: ${message}`).join('\n'));
}
