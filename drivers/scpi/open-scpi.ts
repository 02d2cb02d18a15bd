import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { Instrument } from '../../harness/bench/ports.ts';
import type { RigInstrument } from '../../harness/bench/rig.ts';
import { renderIssues } from '../../harness/files/render-issues.ts';
import type { DriverContext } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { addressSetting, openBytePort } from '../transport/open-byte-port.ts';
import type { Profile } from './profile-schema.ts';
import { readProfile } from './read-profile.ts';
import { ScpiColourSensor } from './scpi-colour-sensor.ts';
import { ScpiDigitiser } from './scpi-digitiser.ts';
import { ScpiMultimeter } from './scpi-multimeter.ts';
import { ScpiSupply } from './scpi-supply.ts';
import { ScpiSession } from './session.ts';

/** Settings of an instrument with `driver: scpi`. */
export const scpiSettings = z.strictObject({
  ...readByPreflight,
  profile: z.string('expected the path of an instrument profile'),
  address: addressSetting,
  baud: z.int().min(50).max(10_000_000).default(115_200),
  /** What the instrument calls each input of the wiring; its own name where nothing is said. */
  inputs: z.record(z.string(), z.union([z.string(), z.number()]).transform(String)).default({}),
});

/** Opens what the profile describes. Nothing is said to the instrument yet. */
export async function openScpi(
  instrument: RigInstrument,
  context: DriverContext,
): Promise<Instrument> {
  const { name } = instrument;
  const { profile: file, address, baud, inputs } = readSettings(scpiSettings, instrument);
  const profile = await loadProfile(name, file, context.folder);
  const session = new ScpiSession(name, profile, (signal) => openBytePort(address, baud, signal));
  switch (profile.kind) {
    case 'digitiser': {
      const wired = context.rig.wiring.filter((wire) => wire.instrument === name);
      const tokens = new Map(wired.map(({ input }) => [input, inputs[input] ?? input]));
      return new ScpiDigitiser({ name, session, profile, clock: context.clock, inputs: tokens });
    }
    case 'supply':
      return new ScpiSupply(name, session, profile, limitsOf(profile, context));
    case 'colour-sensor':
      return new ScpiColourSensor(name, session, profile, context.clock);
    case 'multimeter':
      return new ScpiMultimeter(name, session, profile);
  }
}

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
