import type { Chamber, OpenBench, Thermometer } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Condition } from '../../plan/plan.ts';

/** What the air about the lamp has to be for a condition, and who sees to it. */
export interface WantedAir {
  readonly chamber: Chamber;
  /** Beside the lamp; null where the rig has none. */
  readonly probe: Thermometer | null;
  /** °C */
  readonly celsius: number;
  /** K */
  readonly within: number;
  /** s */
  readonly soak: number;
  readonly patience: number;
  /** K by which a lamp that was soaked may differ from its air. */
  readonly lampWithin: number;
}

/**
 * What a condition asks of the rig's chamber, or the rig's own temperature where it asks for nothing: the condition before may
 * have left the air hot. Null without a chamber, and on a simulated bench whose air nobody changes.
 */
export function wantedAir(
  { ambient }: Pick<Condition, 'ambient'>,
  { instruments, clock }: Pick<OpenBench, 'instruments' | 'clock'>,
  rig: Rig,
): WantedAir | null {
  const set = rig.chamber;
  if (!set || (!ambient && clock.kind === 'virtual')) return null;
  const chamber = instruments.get(set.instrument);
  if (chamber?.kind !== 'chamber') return null;
  const probe = set.probe === undefined ? undefined : instruments.get(set.probe);
  return {
    chamber,
    probe: probe?.kind === 'thermometer' ? probe : null,
    celsius: ambient?.celsius ?? rig.ambient,
    within: Math.min(ambient?.within ?? set.within, set.within),
    soak: Math.max(ambient?.soak ?? set.soak, set.soak),
    patience: set.patience,
    lampWithin: set.lampWithin,
  };
}
