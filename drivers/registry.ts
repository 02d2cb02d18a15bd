import type { DriverSettings } from '../harness/bench/driver-settings.ts';
import { cameraDriver } from './camera/camera-driver.ts';
import { consoleDriver } from './console/console-driver.ts';
import { daliDriver } from './dali/dali-driver.ts';
import { dmxDriver } from './dmx/dmx-driver.ts';
import type { Driver, OpenInstrument } from './driver.ts';
import { loadOwnDriver } from './own-driver.ts';
import { plantDriver } from './plant/plant-driver.ts';
import { programDriver } from './program/program-driver.ts';
import { recordingDriver } from './recording/recording-driver.ts';
import { sacnDriver } from './sacn/sacn-driver.ts';
import { scpiDriver } from './scpi/scpi-driver.ts';
import { webpageDriver } from './webpage/webpage-driver.ts';

/** One line a driver. */
const drivers: readonly Driver[] = [
  plantDriver,
  scpiDriver,
  consoleDriver,
  sacnDriver,
  dmxDriver,
  daliDriver,
  webpageDriver,
  cameraDriver,
  programDriver,
  recordingDriver,
];

export const driverNames: readonly string[] = drivers.map(({ name }) => name);

/** How the settings of each driver are parsed when a rig file is read. */
export const driverSettings: DriverSettings = new Map(
  drivers.map(({ name, settings }) => [name, settings]),
);

/** The driver that a rig file names for an instrument: one of ours, or a module or package of the user's. */
export async function findDriver(
  instrument: string,
  driver: string,
  folder: string,
): Promise<OpenInstrument> {
  const ours = drivers.find(({ name }) => name === driver);
  return ours ? ours.open : loadOwnDriver({ instrument, driver, folder }, driverNames);
}
