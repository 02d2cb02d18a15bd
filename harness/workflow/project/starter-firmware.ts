import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import { packageRoot } from '../inputs/shipped-file.ts';
import { starterBoard } from './starter-board.ts';

const shipped = join(packageRoot, 'drivers/plant/firmware');

/** The firmware folder of a project, as texts by their paths: the port, a small firmware, and the facts of this lamp's board. */
export function starterFirmware(lamp: Lamp): readonly (readonly [string, string])[] {
  const folder = join(shipped, 'starter');
  const sources = readdirSync(folder).filter((name) =>
    /\.[ch]$|^Makefile$|^README\.md$/.test(name),
  );
  return [
    ...sources.map(
      (name) => [`firmware/${name}`, readFileSync(join(folder, name), 'utf8')] as const,
    ),
    ['firmware/lamp-port.h', readFileSync(join(shipped, 'lamp-port.h'), 'utf8')],
    ['firmware/board.h', starterBoard(lamp)],
  ];
}
