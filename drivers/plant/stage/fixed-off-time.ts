/** A buck converter under peak-current control with fixed off-time. SI; the LED voltage as at the mean current. */
export interface FixedOffTimeStage {
  readonly supply: number;
  readonly ledVoltage: number;
  readonly inductance: number;
  readonly offTime: number;
  /** Comparator threshold, A. */
  readonly peak: number;
  readonly comparatorDelay: number;
  readonly minimumOnTime: number;
  readonly diodeDrop: number;
  /** Ohm of the LED string, for the point at which the shortest on-time runs away. */
  readonly dynamicResistance: number;
}

export interface OperatingPoint {
  readonly mode: 'continuous' | 'discontinuous' | 'shortest-on-time' | 'dropout';
  /** A: highest and lowest inductor current, mean over the period. */
  readonly peak: number;
  readonly valley: number;
  readonly mean: number;
  /** s */
  readonly onTime: number;
  /** s in which current falls; the off-time, or less in discontinuous conduction. */
  readonly fallTime: number;
  /** s; infinite in dropout. */
  readonly period: number;
}

/**
 * Where the converter settles. Continuous conduction: ripple = (V_LED + V_diode) t_off / L, mean = peak - ripple / 2,
 * t_on = L ripple / (V_in - V_LED). The comparator's delay lets the current run on by (V_in - V_LED) t_d / L.
 * Discontinuous: the current reaches zero before the off-time ends. Design equations: see SOURCES (fixed off-time).
 */
export function operatingPoint(stage: FixedOffTimeStage): OperatingPoint {
  const { supply, ledVoltage, inductance, offTime, peak, comparatorDelay } = stage;
  const drive = supply - ledVoltage;
  if (peak <= 0 || drive <= 0) return dropout(0);
  const top = peak + (drive * comparatorDelay) / inductance;
  const fall = ledVoltage + stage.diodeDrop;
  const ripple = (fall * offTime) / inductance;
  if (ripple > top) return discontinuous(stage, top, drive, fall);
  const onTime = (inductance * ripple) / drive;
  if (onTime < stage.minimumOnTime + comparatorDelay) return runaway(stage, top, drive, fall);
  return {
    mode: 'continuous',
    peak: top,
    valley: top - ripple,
    mean: top - ripple / 2,
    onTime,
    fallTime: offTime,
    period: onTime + offTime,
  };
}

/** Every period starts at zero current. */
function discontinuous(
  stage: FixedOffTimeStage,
  top: number,
  drive: number,
  fall: number,
): OperatingPoint {
  const { inductance, minimumOnTime, offTime } = stage;
  const onTime = Math.max((inductance * top) / drive, minimumOnTime);
  const peak = (drive * onTime) / inductance;
  const fallTime = Math.min(offTime, (inductance * peak) / fall);
  const period = onTime + offTime;
  const mean = (peak * (onTime + fallTime)) / (2 * period);
  return { mode: 'discontinuous', peak, valley: 0, mean, onTime, fallTime, period };
}

/**
 * The shortest on-time adds more current than the off-time takes away: the current climbs until the LED voltage has
 * risen to where both are equal, V = (V_in t_on - V_diode t_off) / (t_on + t_off).
 */
function runaway(
  stage: FixedOffTimeStage,
  top: number,
  drive: number,
  fall: number,
): OperatingPoint {
  const { supply, ledVoltage, inductance, offTime, dynamicResistance, diodeDrop } = stage;
  const onTime = stage.minimumOnTime + stage.comparatorDelay;
  const balanced = (supply * onTime - diodeDrop * offTime) / (onTime + offTime);
  const rise = Math.max(0, balanced - ledVoltage);
  const ripple = ((fall + rise) * offTime) / inductance;
  const climb = dynamicResistance > 0 ? rise / dynamicResistance : (drive * onTime) / inductance;
  const mean = top - ripple / 2 + climb;
  return {
    mode: 'shortest-on-time',
    peak: mean + ripple / 2,
    valley: mean - ripple / 2,
    mean,
    onTime,
    fallTime: offTime,
    period: onTime + offTime,
  };
}

/** The switch stays on: the supply is not above the LEDs. */
function dropout(current: number): OperatingPoint {
  return {
    mode: 'dropout',
    peak: current,
    valley: current,
    mean: current,
    onTime: Number.POSITIVE_INFINITY,
    fallTime: 0,
    period: Number.POSITIVE_INFINITY,
  };
}

/** Root mean square of the inductor current: I_rms^2 = I_mean^2 + ripple^2 / 12 in continuous conduction. */
export function rmsCurrent({
  mean,
  peak,
  valley,
  onTime,
  fallTime,
  period,
}: OperatingPoint): number {
  if (!Number.isFinite(period)) return mean;
  const square = (peak * peak + peak * valley + valley * valley) / 3;
  return Math.sqrt((square * (onTime + fallTime)) / period);
}

/** Inductor current at `t` s after the switch turned on, over the periodic steady state. */
export function inductorCurrent(point: OperatingPoint, t: number): number {
  if (!Number.isFinite(point.period)) return point.mean;
  const { period, onTime, fallTime, peak, valley } = point;
  const since = t - Math.floor(t / period) * period;
  if (since < onTime) return valley + ((peak - valley) * since) / onTime;
  const off = since - onTime;
  return off < fallTime ? peak - ((peak - valley) * off) / fallTime : valley;
}
