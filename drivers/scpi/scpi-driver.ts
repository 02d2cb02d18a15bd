import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import { renderIssues } from '../../harness/files/render-issues.ts';
import { chamberLimits } from '../chamber-limits.ts';
import { type DriverContext, defineDriver } from '../driver.ts';
import { addressSetting, baudSetting, openBytePort } from '../transport/open-byte-port.ts';
import type { Profile } from './profile-schema.ts';
import { readProfile } from './read-profile.ts';
import { ScpiChamber } from './scpi-chamber.ts';
import { ScpiColourSensor } from './scpi-colour-sensor.ts';
import { ScpiDigitiser } from './scpi-digitiser.ts';
import { ScpiMultimeter } from './scpi-multimeter.ts';
import { ScpiSpectrometer } from './scpi-spectrometer.ts';
import { ScpiSupply } from './scpi-supply.ts';
import { ScpiSwitch } from './scpi-switch.ts';
import { ScpiThermometer } from './scpi-thermometer.ts';
import { ScpiSession } from './session.ts';

/** Any instrument that speaks SCPI, as an instrument profile describes it. */
export const scpiDriver = defineDriver({
  name: 'scpi',
  settings: z.strictObject({
    profile: z
      .string('expected the path of an instrument profile')
      .meta({ description: 'Path of the instrument profile.', examples: ['my.profile.yaml'] }),
    address: addressSetting,
    baud: baudSetting('Speed of the serial port.').default(115_200),
    inputs: z
      .record(z.string(), z.union([z.string(), z.number()]).transform(String))
      .meta({ description: 'What the instrument calls an input of the wiring, where it differs.' })
      .default({}),
  }),
  open: async ({ name, settings }, context) => {
    const { address, baud, inputs } = settings;
    const profile = await loadProfile(name, settings.profile, context.folder);
    const session = new ScpiSession(name, profile, (signal) => openBytePort(address, baud, signal));
    switch (profile.kind) {
      case 'digitiser': {
        const wired = context.rig.wiring.filter(({ instrument }) => instrument === name);
        const tokens = new Map(wired.map(({ input }) => [input, inputs[input] ?? input]));
        return new ScpiDigitiser({ name, session, profile, clock: context.clock, inputs: tokens });
      }
      case 'supply':
        return new ScpiSupply(name, session, profile, limitsOf(profile, context));
      case 'switch':
        return new ScpiSwitch(name, session, profile);
      case 'chamber':
        return new ScpiChamber(name, session, profile, chamberLimits(context.rig));
      case 'thermometer':
        return new ScpiThermometer(name, session, profile);
      case 'spectrometer':
        return new ScpiSpectrometer(name, session, profile, context.clock);
      case 'colour-sensor':
        return new ScpiColourSensor(name, session, profile, context.clock);
      case 'multimeter':
        return new ScpiMultimeter(name, session, profile);
    }
  },
});

/** The lower of what the rig allows and what the instrument has. */
function limitsOf(profile: Extract<Profile, { kind: 'supply' }>, { rig }: DriverContext) {
  const most = Number.POSITIVE_INFINITY;
  return {
    volts: Math.min(rig.supply?.highestVolts ?? most, profile['highest-volts'] ?? most),
    amps: Math.min(rig.supply?.highestAmps ?? most, profile['highest-amps'] ?? most),
  };
}

async function loadProfile(name: string, file: string, folder: string): Promise<Profile> {
  const path = resolve(folder, file);
  const text = await readFile(path, 'utf8').catch((error: NodeJS.ErrnoException) => {
    throw new BenchError(
      'unsupported',
      name,
      `${name}: expected an instrument profile at ${path}, found none that can be read (${error.code})`,
      { cause: error },
    );
  });
  const read = readProfile(text, path);
  if ('profile' in read) return read.profile;
  throw new BenchError(
    'unsupported',
    name,
    `${name}: its instrument profile has issues:\n${renderIssues(read.issues, { colour: false })}`,
  );
}
