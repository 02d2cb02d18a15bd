import type { Call, OpenBench, PowerSwitch } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';

/** What takes the lamp's power away and gives it back. */
export interface LampPower {
  readonly name: string;
  output(on: boolean, call: Call): Promise<void>;
}

/** The switch of a rig; null where it has none. */
export function switchOf(
  { instruments }: Pick<OpenBench, 'instruments'>,
  rig: Rig,
): PowerSwitch | null {
  const named = rig.switch && instruments.get(rig.switch.instrument);
  return named?.kind === 'switch' ? named : null;
}

/** The switch where the rig has one, else the output of its supply; null where the lamp has power all the time. */
export function lampPower(bench: Pick<OpenBench, 'instruments'>, rig: Rig): LampPower | null {
  const relay = switchOf(bench, rig);
  if (relay) return relay;
  const supply = rig.supply && bench.instruments.get(rig.supply.instrument);
  return supply?.kind === 'supply' ? supply : null;
}
