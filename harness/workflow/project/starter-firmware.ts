import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import { packageRoot } from '../inputs/shipped-file.ts';
import { starterBoard } from './starter-board.ts';

/** Who drives the firmware: the lamp calls it at each tick, or it has a main loop. */
export const firmwareStyles = ['ticks', 'main-loop'] as const;
export type FirmwareStyle = (typeof firmwareStyles)[number];

const shipped = join(packageRoot, 'drivers/plant/firmware');

/** The firmware folder of a project, as texts by their paths: the port, a small firmware, and the facts of this lamp's board. */
export function starterFirmware(
  lamp: Lamp,
  style: FirmwareStyle,
): readonly (readonly [string, string])[] {
  const starter = join(shipped, 'starter');
  // What a style does in its own way stands in a folder of its name.
  const own = style === 'ticks' ? [] : sourcesIn(join(starter, style));
  const sources = new Map([...sourcesIn(starter), ...own]);
  return [
    ...[...sources].map(([name, text]) => [`firmware/${name}`, text] as const),
    ['firmware/native/native-lamp.c', readFileSync(join(shipped, 'native/native-lamp.c'), 'utf8')],
    ['firmware/lamp-port.h', readFileSync(join(shipped, 'lamp-port.h'), 'utf8')],
    ['firmware/board.h', starterBoard(lamp)],
  ];
}

function sourcesIn(folder: string): (readonly [string, string])[] {
  return readdirSync(folder)
    .filter((name) => /\.[ch]$|^Makefile$|^README\.md$/.test(name))
    .map((name) => [name, readFileSync(join(folder, name), 'utf8')] as const);
}
