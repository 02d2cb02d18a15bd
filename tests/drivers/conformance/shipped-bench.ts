import { readFileSync } from 'node:fs';
import { driverSettings } from '../../../drivers/registry.ts';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import { readLamp } from '../../../harness/bench/lamp-file.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';

/** Alcove-6 and the rigs that ship with Evenfall. */
export const lamp: Lamp = readShippedLamp('alcove-6');
export const simulatedRig: Rig = readShippedRig('simulated');
export const emulatedRig: Rig = readShippedRig('emulated');
/** With a chamber about the lamp and a relay in its supply. */
export const climateRig: Rig = readShippedRig('emulated-climate');

function readShippedLamp(name: string): Lamp {
  const file = `specs/lamps/${name}.lamp.yaml`;
  const read = readLamp(readFileSync(file, 'utf8'), file);
  if ('lamp' in read) return read.lamp;
  throw new Error(read.issues.map(({ message }) => message).join('\n'));
}

function readShippedRig(name: string): Rig {
  const file = `specs/rigs/${name}.rig.yaml`;
  const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
  if ('rig' in read) return read.rig;
  throw new Error(read.issues.map(({ message }) => message).join('\n'));
}
