import type { AmbientRequest } from '../../plan/plan.ts';
import { callOn, type StimulusContext } from '../condition/stimulus.ts';
import { AirWatch } from './air-watch.ts';
import { soak } from './soak.ts';
import { wantedAir } from './wanted-air.ts';

/** Brings the air about the lamp to where a condition wants it; null where the rig does not condition it. */
export async function conditionAir(
  ambient: AmbientRequest | undefined,
  { bench, rig, signal }: Pick<StimulusContext, 'bench' | 'rig' | 'signal'>,
): Promise<AirWatch | null> {
  const wanted = wantedAir(ambient ? { ambient } : {}, bench, rig);
  if (!wanted) return null;
  const { clock } = bench;
  const call = callOn({ rig, signal }, wanted.chamber.name);
  const soaked = await soak(wanted, { clock, call });
  const lampWasOff = rig.supply !== undefined || rig.switch !== undefined;
  const { pieces } = bench;
  return new AirWatch({ wanted, soaked, clock, call, lampWasOff, pieces });
}
