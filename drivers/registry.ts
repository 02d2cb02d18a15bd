import { createRequire } from 'node:module';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { BenchError } from '../harness/bench/errors.ts';
import { didYouMean } from '../harness/files/did-you-mean.ts';
import type { OpenInstrument } from './driver.ts';

/** One line a driver; each is loaded only where a rig names it. */
const drivers: Readonly<Record<string, () => Promise<OpenInstrument>>> = {
  scpi: async () => (await import('./scpi/open-scpi.ts')).openScpi,
  console: async () => (await import('./console/open-console.ts')).openConsole,
  sacn: async () => (await import('./sacn/open-sacn.ts')).openSacn,
  dmx: async () => (await import('./dmx/open-dmx.ts')).openDmx,
  dali: async () => (await import('./dali/open-dali.ts')).openDali,
  webpage: async () => (await import('./webpage/open-webpage.ts')).openWebpage,
  camera: async () => (await import('./camera/open-camera.ts')).openCamera,
  program: async () => (await import('./program/open-program.ts')).openProgram,
  recording: async () => {
    const { openRecording } = await import('./recording/open-recording.ts');
    return (instrument, { clock, folder }) => openRecording(instrument, clock, folder);
  },
};

export const driverNames: readonly string[] = Object.keys(drivers);

/**
 * The driver that a rig file names for an instrument: one of ours, a module of the user's (`./my-head.mjs`, relative to
 * the rig file) or an npm package that can be found from the rig file's folder.
 */
export async function findDriver(
  instrument: string,
  driver: string,
  folder: string,
): Promise<OpenInstrument> {
  const ours = Object.hasOwn(drivers, driver) ? drivers[driver] : undefined;
  if (ours) return ours();
  const isPath = /^\.{0,2}\//.test(driver);
  const refuse = (why: string, cause?: unknown): BenchError =>
    new BenchError('unsupported', instrument, `${instrument}: ${why}`, { cause });
  if (driver === 'plant')
    throw refuse(
      'the driver plant simulates a whole rig and cannot stand beside real instruments; let every instrument be simulated, or none',
    );
  let module: { readonly open?: unknown; readonly default?: unknown };
  try {
    const place = isPath ? resolve(folder, driver) : packagePath(driver, folder);
    module = await import(pathToFileURL(place).href);
  } catch (error) {
    const why = error instanceof Error ? error.message.split('\n')[0] : String(error);
    if (isPath) throw refuse(`the driver ${driver} cannot be loaded: ${why}`, error);
    const guess = didYouMean(driver, driverNames) || `; drivers: ${driverNames.join(', ')}`;
    throw refuse(`there is no driver "${driver}", nor a package of that name${guess}`, error);
  }
  const open = module.open ?? module.default;
  if (typeof open === 'function') return open as OpenInstrument;
  throw refuse(
    `the driver ${driver} was expected to export a function "open" or a default, found ${Object.keys(module).join(', ') || 'nothing'}`,
  );
}

function packagePath(name: string, folder: string): string {
  return createRequire(resolve(folder, 'rig.yaml')).resolve(name);
}
