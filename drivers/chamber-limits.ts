import { BenchError } from '../harness/bench/errors.ts';
import type { ChamberLimits, Rig } from '../harness/bench/rig.ts';

/** What the rig file allows the air about its lamp to have; anything where it names no chamber. */
export function chamberLimits({ chamber }: Rig): ChamberLimits {
  const { lowest = Number.NEGATIVE_INFINITY, highest = Number.POSITIVE_INFINITY } = chamber ?? {};
  return { lowest, highest };
}

/** Throws BenchError `refused` beyond the limits, °C. */
export function mustBeAllowed(name: string, celsius: number, limits: ChamberLimits): void {
  const { lowest, highest } = limits;
  if (celsius >= lowest && celsius <= highest) return;
  throw new BenchError(
    'refused',
    name,
    `${name}: it may not be set to ${celsius} °C, only to ${lowest} °C to ${highest} °C; nothing was changed`,
  );
}
