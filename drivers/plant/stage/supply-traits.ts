import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** The supply of the lamp and its input stage. */
export interface SupplyTraits {
  /** Ohm between the source and the lamp's rail. */
  sourceResistance: number;
  /** Ripple of the rail at twice the mains frequency: peak over mean. */
  ripple: number;
  /** Hz */
  mainsFrequency: number;
  /** Part of the rail's relative ripple that comes through to the LED current. */
  rippleFeedthrough: number;
  /** V of rail below which the processor restarts. */
  brownOut: number;
  /** Part of the input power that reaches the LEDs and the processor. */
  efficiency: number;
  /** W that the lamp draws when dark. */
  standby: number;
  /** What the outputs do while the rail falls after power-off: relative drive, for so many s. */
  lastGasp: { drive: number; lasts: number };
  /** F behind the input that are charged at power-on, and the ohm that limit the current meanwhile. */
  inputCapacitance: number;
  inrushResistance: number;
  /** s, time constant at which that charge is lost without a source. */
  bleeding: number;
  /** s, input filter between the stages' current and the source. */
  inputFilter: number;
  /** Sine of the phase angle below which the rectifier does not conduct (0: sinusoidal current). Mains lamps. */
  conduction: number;
  /** Relative third harmonic of the input current. */
  thirdHarmonic: number;
}

/** A stiff supply with a well-filtered rail. The figures are invented and moderate. */
export function healthySupply(lamp: Lamp, random: Random): SupplyTraits {
  const { supply } = lamp;
  const mains = supply.kind === 'mains' ? supply : null;
  const poor = mains?.powerFactorCorrection === 'poor';
  return {
    sourceResistance: 0.05 * (1 + random.within(0.1)),
    ripple: supply.ripple ?? (mains ? 0.03 : 0.002),
    mainsFrequency: mains ? mains.frequency : 50,
    rippleFeedthrough: 0.01,
    brownOut: supply.kind === 'dc' ? 0.7 * supply.low : 0,
    efficiency: 0.9,
    standby: supply.standby,
    lastGasp: { drive: 0, lasts: 0 },
    inputFilter: 200e-6,
    conduction: poor ? 0.93 : 0,
    thirdHarmonic: poor ? 0 : 0.04 * (1 + random.within(0.1)),
    inputCapacitance: supply.inputCapacitance * (1 + random.within(0.05)),
    inrushResistance: supply.inrushResistance * (1 + random.within(0.02)),
    bleeding: 0.3,
  };
}
