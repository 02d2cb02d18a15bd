import { BenchError } from '../../bench/errors.ts';
import type { ChamberReading } from '../../bench/ports.ts';
import type { WantedAir } from './wanted-air.ts';

/** A set point comes back rounded, K. */
const rounding = 0.1;

/** Why a chamber does not do what it was told, whatever its air has by now, in a clause; null where it does. */
export function chamberDoubt(
  { setPoint, on, alarms = [] }: ChamberReading,
  { celsius }: Pick<WantedAir, 'celsius'>,
): string | null {
  if (alarms.length > 0) return `it reports: ${alarms.join(', ')}`;
  if (!on) return `it was set to ${celsius} °C, but says that it is off`;
  if (setPoint !== undefined && Math.abs(setPoint - celsius) > rounding)
    return `it was set to ${celsius} °C, but says that it is set to ${setPoint} °C; has somebody turned it at its panel?`;
  return null;
}

export function isThere(
  { celsius }: Pick<ChamberReading, 'celsius'>,
  wanted: Pick<WantedAir, 'celsius' | 'within'>,
): boolean {
  return Math.abs(celsius - wanted.celsius) <= wanted.within;
}

/** The air was not what it was to be: nothing is said about the lamp. */
export function airError(name: string, clause: string): BenchError {
  return new BenchError(
    'refused',
    name,
    `${clause}. What the lamp does in other air says nothing about this claim: check the chamber, its door and its sensor`,
  );
}
