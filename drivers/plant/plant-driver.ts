import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { Rig, RigInstrument } from '../../harness/bench/rig.ts';
import { quantity } from '../../harness/files/schema-parts.ts';
import { defineDriver } from '../driver.ts';

const digitiser = z.strictObject({ kind: z.literal('digitiser') });

const colourSensor = z.strictObject({
  kind: z.literal('colour-sensor'),
  'standard-xy': z
    .number()
    .min(0)
    .max(1)
    .meta({ description: 'Standard uncertainty (k = 1) of the calibration of x and y.' })
    .default(0.0005),
  'noise-xy': z
    .number()
    .min(0)
    .max(1)
    .meta({ description: 'Standard deviation of x and y at 1 s and 100 lx.' })
    .default(0.00002),
});

const nanometres = (about: string, usual: number) =>
  z
    .number()
    .positive()
    .max(3000)
    .meta({ description: `${about}, nm.` })
    .default(usual);

const spectrometer = z.strictObject({
  kind: z.literal('spectrometer'),
  from: nanometres('First wavelength', 380),
  to: nanometres('Last wavelength', 780),
  step: nanometres('From value to value', 1),
  bandwidth: nanometres('Full width at half maximum of a line', 3),
  'standard-wavelength': nanometres('Standard uncertainty of the wavelengths, k = 1', 0.2),
});

const camera = z.strictObject({
  kind: z.literal('camera'),
  rows: z.int().min(1).max(100_000).meta({ description: 'Rows of a frame.' }).default(1080),
  'line-time': quantity('Time between the start of two rows.', 'time', '15 µs', {
    above: 0,
  }).prefault('15 µs'),
  'row-noise': quantity('Noise of a row, relative to full scale.', 'ratio', '0.05 %', {
    least: 0,
    most: 1,
    bare: true,
  }).prefault('0.05 %'),
});

const supply = z.strictObject({ kind: z.literal('supply') });

const powerSwitch = z.strictObject({ kind: z.literal('switch') });

const chamber = z.strictObject({ kind: z.literal('chamber') });

const thermometer = z.strictObject({ kind: z.literal('thermometer') });

const lampLink = z.strictObject({
  kind: z.literal('lamp-link'),
  link: z
    .string()
    .optional()
    .meta({
      description: 'Link of the lamp; the one that the rig file gives it where nothing is said.',
      examples: ['console', 'dali'],
    }),
});

/** A colour sensor of which the rig file says nothing. */
export const usualColourSensor = colourSensor.parse({ kind: 'colour-sensor' });

/** A spectrometer of which the rig file says nothing. */
export const usualSpectrometer = spectrometer.parse({ kind: 'spectrometer' });

/** Settings of an instrument with `driver: plant`: what it simulates, and how good it is. */
const plantSettings = z.discriminatedUnion('kind', [
  digitiser,
  colourSensor,
  spectrometer,
  camera,
  supply,
  powerSwitch,
  chamber,
  thermometer,
  lampLink,
]);

export type PlantSettings = z.output<typeof plantSettings>;
/** The settings of one kind of simulated instrument. */
export type SettingsOf<Kind extends PlantSettings['kind']> = Extract<PlantSettings, { kind: Kind }>;

/** A rig whose instruments are all simulated. */
export type PlantRig = Rig<PlantSettings>;

/** Whoever read the rig file has parsed the settings by the schema of each instrument's driver. */
export function isPlantRig(rig: Rig): rig is PlantRig {
  return rig.instruments.every(({ driver }) => driver === plantDriver.name);
}

/** Instruments of the plant have a lamp, a clock and a seed in common: `openPlantBench` opens them, all together. */
export const plantDriver = defineDriver({
  name: 'plant',
  settings: plantSettings,
  open: ({ name }: RigInstrument) => {
    throw new BenchError(
      'unsupported',
      name,
      `${name}: the driver plant simulates a whole rig and cannot stand beside real instruments; let every instrument be simulated, or none`,
    );
  },
});
