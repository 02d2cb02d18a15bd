import type { Call, ChamberReading } from '../../bench/ports.ts';
import { chamberDoubt, isThere } from './air-doubt.ts';
import type { WantedAir } from './wanted-air.ts';

/** The air by the chamber's own sensor, and by the probe beside the lamp where there is one. */
export interface AirTaken extends ChamberReading {
  /** °C */
  readonly probe?: number;
  /** Why the chamber does not do what it was told, in a clause. */
  readonly doubt: string | null;
  /** Both witnesses have the air where it is to be. */
  readonly there: boolean;
}

export async function readAir(wanted: WantedAir, call: Call): Promise<AirTaken> {
  const { chamber, probe: thermometer } = wanted;
  const [reading, beside] = await Promise.all([chamber.read(call), thermometer?.read(call)]);
  const probe = beside?.celsius;
  const there =
    isThere(reading, wanted) && (probe === undefined || isThere({ celsius: probe }, wanted));
  const doubt = chamberDoubt(reading, wanted);
  return { ...reading, ...(probe !== undefined && { probe }), doubt, there };
}

/** `41.3 °C (35.2 °C beside the lamp)` */
export function airWords({ celsius, probe }: Pick<AirTaken, 'celsius' | 'probe'>): string {
  const beside = probe === undefined ? '' : ` (${probe.toFixed(1)} °C beside the lamp)`;
  return `${celsius.toFixed(1)} °C${beside}`;
}
