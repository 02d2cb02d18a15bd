import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';
import type { SupplyTraits } from './supply-traits.ts';

/** A stiff supply with a well-filtered rail. The figures are invented and moderate. */
export function healthySupply(lamp: Lamp, random: Random): SupplyTraits {
  const { supply } = lamp;
  const mains = supply.kind === 'mains' ? supply : null;
  const poor = mains?.powerFactorCorrection === 'poor';
  return {
    sourceResistance: 0.05 * (1 + random.within(0.1)),
    ripple: mains ? 0.03 : 0.002,
    mainsFrequency: mains ? mains.frequency : 50,
    rippleFeedthrough: 0.01,
    brownOut: supply.kind === 'dc' ? 0.7 * supply.low : 0,
    efficiency: 0.9,
    standby: 0.3,
    inputFilter: 200e-6,
    conduction: poor ? 0.93 : 0,
    thirdHarmonic: poor ? 0 : 0.04 * (1 + random.within(0.1)),
  };
}
