import type { LampLinks } from '../../../harness/bench/lamp.ts';
import type { BankProperty } from '../../../harness/bench/lamp-properties.ts';
import { bankPlaces } from '../../dali/bank-places.ts';
import type { LampHardware } from './firmware.ts';
import type { GearMeters } from './gear-meters.ts';
import type { FirmwareTraits } from './traits.ts';

type Gear = NonNullable<LampLinks['dali']>;

/** What the gear of a luminaire has to say beside its identity, and what it measures. */
export interface BankParts {
  readonly gear: Gear;
  readonly traits: FirmwareTraits;
  readonly meters: GearMeters;
  readonly hardware: Pick<LampHardware, 'supplyPower' | 'supplyVoltage' | 'temperature'>;
}

/** Last locations of the banks, IEC 62386-251 to -253, from memory. */
const lastLocations: Readonly<Record<number, number>> = {
  1: 0x77,
  202: 0x0f,
  205: 0x1c,
  206: 0x20,
  207: 0x07,
};

/** Ten to this power of Wh, and of W, is a step: mWh and mW. */
const scale = -3;
/** Where a bank says its version; IEC 62386-252 and -253, from memory. */
const versionAt = 3;

/** The bytes of a bank as they are now, from location 0 on; null for a bank that the lamp does not have. */
export function bankNow(bank: number, parts: BankParts): Uint8Array | null {
  const last = lastLocations[bank];
  if (last === undefined || !parts.gear.banks?.includes(bank)) return null;
  const bytes = new Uint8Array(last + 1).fill(0xff);
  bytes[0] = last;
  bytes[1] = 0;
  if (bank > 1) bytes[versionAt] = 1;
  const said = saidBy(parts);
  for (const [property, place] of Object.entries(bankPlaces)) {
    const value = said[property as BankProperty];
    if (place.bank !== bank || value === undefined) continue;
    const power = place.scaled ? 10 ** scale : 1;
    if (place.scaled) bytes[place.at - 1] = scale & 0xff;
    write(
      bytes,
      place,
      parts.traits.bankValue(
        property as BankProperty,
        (value - (place.offset ?? 0)) / (place.unit * power),
      ),
    );
  }
  return bytes;
}

/** SI */
function saidBy({
  gear,
  traits,
  meters,
  hardware,
}: BankParts): Partial<Record<BankProperty, number>> {
  const { operating, lit, energy, starts, lightStarts } = meters.counts;
  const own = gear.luminaire;
  return {
    ...(own && {
      'luminaire-input-power': own.inputPower,
      'luminaire-minimum-power': own.minimumPower,
      'luminaire-light': own.light,
      'luminaire-cri': own.cri,
      'luminaire-cct': own.cct,
      'rated-life': own.life,
      'rated-starts': own.starts,
    }),
    'active-energy': traits.meteredEnergy(energy),
    'active-power': traits.meteredPower(hardware.supplyPower()),
    'gear-operating-time': operating,
    'gear-starts': starts,
    'gear-supply-voltage': hardware.supplyVoltage(),
    'gear-temperature': hardware.temperature(),
    'light-starts': lightStarts,
    'light-on-time': traits.countedLight(lit, operating),
    'light-temperature': hardware.temperature(),
  };
}

/** Most significant byte first; counters and meters round down. */
function write(
  bytes: Uint8Array,
  { at, bytes: length }: { readonly at: number; readonly bytes: number },
  value: number,
): void {
  let rest = Math.max(0, Math.floor(value + 1e-9));
  for (let index = length - 1; index >= 0; index--) {
    bytes[at + index] = rest % 256;
    rest = Math.floor(rest / 256);
  }
}

/** Whether a value of several bytes begins at a location: its others are latched with it. */
export function beginsValue(bank: number, location: number): boolean {
  return !Object.values(bankPlaces).some(
    ({ bank: own, at, bytes }) => own === bank && location > at && location < at + bytes,
  );
}
