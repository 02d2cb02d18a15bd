import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { driverSettings } from '../../drivers/registry.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';

export const root = join(import.meta.dirname, '../..');

export function shippedLamp(name: string): Lamp {
  const file = join(root, `specs/lamps/${name}.lamp.yaml`);
  const read = readLamp(readFileSync(file, 'utf8'), file);
  if (!('lamp' in read)) throw new Error(`${file} cannot be read`);
  return read.lamp;
}

export function shippedRig(): Rig {
  const file = join(root, 'specs/rigs/simulated.rig.yaml');
  const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
  if (!('rig' in read)) throw new Error(`${file} cannot be read`);
  return read.rig;
}
