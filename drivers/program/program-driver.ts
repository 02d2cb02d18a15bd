import * as z from 'zod';
import { chamberLimits } from '../chamber-limits.ts';
import { defineDriver } from '../driver.ts';
import { commandSetting } from '../transport/run-program.ts';
import { ProgramChamber } from './program-chamber.ts';
import { ProgramColourSensor } from './program-colour-sensor.ts';
import { ProgramDigitiser } from './program-digitiser.ts';
import { ProgramSpectrometer } from './program-spectrometer.ts';
import { ProgramSupply } from './program-supply.ts';
import { ProgramSwitch } from './program-switch.ts';
import { ProgramThermometer } from './program-thermometer.ts';

/** S/s where the rig file says nothing. */
const usualRate = 1e6;
/** Seconds where the rig file says nothing: a program writes to disk, so that it has no memory to speak of. */
const usualLength = 3600;

/** An instrument that a program reads. */
export const programDriver = defineDriver({
  name: 'program',
  settings: z.strictObject({
    kind: z
      .enum([
        'supply',
        'switch',
        'chamber',
        'thermometer',
        'colour-sensor',
        'spectrometer',
        'digitiser',
      ])
      .meta({ description: 'What the program reads.' }),
    command: commandSetting,
  }),
  open: ({ name, settings: { kind, command }, limits }, { rig, clock, folder }) => {
    const parts = { name, command, folder, clock };
    if (kind === 'supply')
      return new ProgramSupply(parts, rig.supply?.highestVolts ?? Number.POSITIVE_INFINITY);
    if (kind === 'switch') return new ProgramSwitch(parts);
    if (kind === 'thermometer') return new ProgramThermometer(parts);
    if (kind === 'chamber') return new ProgramChamber(parts, chamberLimits(rig));
    if (kind === 'spectrometer') return new ProgramSpectrometer(parts);
    if (kind === 'colour-sensor') return new ProgramColourSensor(parts);
    const wires = rig.wiring.filter(({ instrument }) => instrument === name);
    const { highestRate = usualRate, longestRecord = usualLength, memory, oneRecord } = limits;
    return new ProgramDigitiser(parts, {
      inputs: wires.map(({ input }) => input),
      highestRate,
      longestRecord: Math.min(memory ?? Number.POSITIVE_INFINITY, longestRecord * highestRate),
      bits: Math.max(1, ...wires.map(({ bits }) => bits)),
      acquisition: limits.acquisition ?? 'point',
      oneRecord: oneRecord ?? false,
    });
  },
});
