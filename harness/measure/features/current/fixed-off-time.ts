/**
 * Design equations of a buck stage with peak-current control and fixed off-time, in continuous conduction:
 * ripple = V_LED * t_off / L, mean = peak - ripple / 2, t_on = L * ripple / (V_in - V_LED), D = V_LED / V_in,
 * f = (1 - D) / t_off. The ripple does not depend on the supply, the frequency does.
 * Inputs: V, H, s, A, all above zero. Output: A, s, Hz.
 * The equations hold only while the current does not reach zero (ripple < 2 * mean) and the supply is above the LED
 * voltage; elsewhere the result says which condition is broken and has no figures.
 * Source: design-equation pages of driver data sheets (confirmed there); the worked rows in the tests are computed.
 */
export interface FixedOffTimeCircuit {
  readonly supplyVoltage: number;
  readonly ledVoltage: number;
  readonly inductance: number;
  readonly offTime: number;
  readonly peakCurrent: number;
  /** From crossing the threshold to the switch opening, s; the current climbs on meanwhile. */
  readonly comparatorDelay?: number;
  /** Drop of the freewheeling diode, V; adds to the LED voltage during the off-time. */
  readonly diodeDrop?: number;
}

export type FixedOffTimeDesign =
  | {
      readonly continuous: true;
      /** Peak to peak, A. */
      readonly ripple: number;
      /** Peak that is really reached, with the comparator's delay, A. */
      readonly peakCurrent: number;
      readonly meanCurrent: number;
      readonly rmsCurrent: number;
      readonly onTime: number;
      readonly frequency: number;
      /** Part of the period that the switch is closed. */
      readonly duty: number;
    }
  | {
      readonly continuous: false;
      readonly broken: 'no-headroom' | 'discontinuous' | 'out-of-domain';
      /** In words, with figures. */
      readonly because: string;
    };

export function fixedOffTime(stage: FixedOffTimeCircuit): FixedOffTimeDesign {
  const { supplyVoltage, ledVoltage, inductance, offTime, peakCurrent } = stage;
  const { comparatorDelay = 0, diodeDrop = 0 } = stage;
  const positive = [supplyVoltage, ledVoltage, inductance, offTime, peakCurrent];
  if (!positive.every((value) => Number.isFinite(value) && value > 0)) {
    return refused(
      'out-of-domain',
      'voltages, inductance, off-time and peak current must be above zero',
    );
  }
  if (!(comparatorDelay >= 0 && diodeDrop >= 0)) {
    return refused('out-of-domain', 'comparator delay and diode drop must not be negative');
  }
  const headroom = supplyVoltage - ledVoltage;
  if (headroom <= 0) {
    return refused(
      'no-headroom',
      `the supply of ${supplyVoltage} V is not above the LED voltage of ${ledVoltage} V`,
    );
  }
  const ripple = ((ledVoltage + diodeDrop) * offTime) / inductance;
  const peak = peakCurrent + (headroom * comparatorDelay) / inductance;
  const meanCurrent = peak - ripple / 2;
  if (ripple >= 2 * meanCurrent) {
    const valley = peak - ripple;
    return refused(
      'discontinuous',
      `the current would fall to ${valley.toPrecision(3)} A: ripple is not below twice the mean`,
    );
  }
  const onTime = (inductance * ripple) / headroom;
  const period = onTime + offTime;
  return {
    continuous: true,
    ripple,
    peakCurrent: peak,
    meanCurrent,
    rmsCurrent: Math.sqrt(meanCurrent ** 2 + ripple ** 2 / 12),
    onTime,
    frequency: 1 / period,
    duty: onTime / period,
  };
}

function refused(
  broken: 'no-headroom' | 'discontinuous' | 'out-of-domain',
  because: string,
): FixedOffTimeDesign {
  return { continuous: false, broken, because };
}
