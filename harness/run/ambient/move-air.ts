import { BenchError } from '../../bench/errors.ts';
import type { Call, Chamber, OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { AirWatch } from './air-watch.ts';
import { forgetSoak } from './soak.ts';

/** What the air about the lamp is to have now, °C, and who watches it; nobody does on a simulated bench. */
export interface MovedAir {
  celsius: number;
  readonly watch: AirWatch | null;
}

interface Place {
  readonly bench: OpenBench;
  readonly rig: Rig;
  readonly air: MovedAir;
  callOn(instrument: string): Call;
}

/** s from set point to set point of a ramp: at once in simulated air, and as a chamber can follow. */
const pace = { virtual: 1, real: 10 } as const;
/** Steps of a ramp at most: one of a day needs no finer ones. */
const most = 2000;
/** Chambers take tenths of a kelvin. */
const finest = 0.1;

/**
 * Takes the air to another temperature, straight in `over` s, and returns the chamber's name. On a real bench the air has to be there by
 * then: rejects with BenchError `late` where it is not, and what is said of the lamp's light would be said of other air.
 */
export async function moveAir(
  { celsius, over }: { readonly celsius: number; readonly over: number },
  place: Place,
): Promise<string> {
  const chamber = chamberOf(place);
  const {
    air,
    bench: { clock },
  } = place;
  const call = place.callOn(chamber.name);
  const [from, begun] = [air.celsius, clock.now()];
  const steps = Math.min(most, Math.max(1, Math.ceil(over / pace[clock.kind])));
  air.watch?.depart();
  forgetSoak(chamber);
  for (let step = 1; step <= steps; step++) {
    const part = step / steps;
    air.celsius = step === steps ? celsius : rounded(from + part * (celsius - from));
    await chamber.set({ celsius: air.celsius }, call);
    await clock.waitUntil(begun + part * over, call.signal);
  }
  await air.watch?.arrive(celsius, over);
  return chamber.name;
}

function chamberOf({ rig, bench }: Place): Chamber {
  const name = rig.chamber?.instrument;
  const chamber = name === undefined ? undefined : bench.instruments.get(name);
  if (chamber?.kind === 'chamber') return chamber;
  throw new BenchError('unsupported', name ?? 'chamber', `rig ${rig.rig} has no chamber`);
}

function rounded(celsius: number): number {
  return Math.round(celsius / finest) * finest;
}
