import * as z from 'zod';
import type { OpenInstrument } from '../driver.ts';
import { readSettings } from '../settings.ts';
import { ProgramColourSensor } from './program-colour-sensor.ts';
import { ProgramDigitiser } from './program-digitiser.ts';
import { ProgramSupply } from './program-supply.ts';

/** Settings of an instrument with `driver: program`. */
export const programSettings = z.strictObject({
  kind: z.enum(
    ['supply', 'colour-sensor', 'digitiser'],
    'expected supply, colour-sensor or digitiser',
  ),
  command: z
    .array(z.string(), 'expected a list: the program, then its arguments')
    .min(1, 'expected the program, then its arguments'),
  'highest-rate': z.number().default(1e6),
  /** Seconds at any rate; a program writes to disk, so that it has no memory to speak of. */
  'longest-record': z.number().default(3600),
  acquisition: z.enum(['integrating', 'point']).default('point'),
});

export const openProgram: OpenInstrument = (instrument, { rig, clock, folder }) => {
  const { name } = instrument;
  const settings = readSettings(programSettings, instrument);
  const parts = { name, command: settings.command, folder, clock };
  if (settings.kind === 'supply')
    return new ProgramSupply(parts, rig.supply?.highestVolts ?? Number.POSITIVE_INFINITY);
  if (settings.kind === 'colour-sensor') return new ProgramColourSensor(parts);
  const wires = rig.wiring.filter((wire) => wire.instrument === name);
  return new ProgramDigitiser(parts, {
    inputs: wires.map(({ input }) => input),
    highestRate: settings['highest-rate'],
    longestRecord: settings['longest-record'] * settings['highest-rate'],
    bits: Math.max(1, ...wires.map(({ bits }) => bits)),
    acquisition: settings.acquisition,
  });
};
