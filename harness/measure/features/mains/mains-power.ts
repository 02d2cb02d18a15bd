import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { sampleAt } from '../../signal/samples.ts';
import type { MainsRecord } from './mains-record.ts';
import { forEachCovered } from './whole-periods.ts';

/** Power taken from the mains over whole periods. */
export interface MainsPower {
  /** W */
  readonly active: number;
  /** V and A, rms */
  readonly voltage: number;
  readonly current: number;
  /** P / (Vrms Irms) */
  readonly powerFactor: number;
}

/** Source: definitions (IEC 60050-131); power factor P / (Vrms Irms). */
export function mainsPower({ current, voltage, periods }: MainsRecord): MainsPower | NotMeasurable {
  if (!voltage) return notMeasurable('no-record', { note: 'no mains-voltage' });
  let [power, squareV, squareI, total] = [0, 0, 0, 0];
  forEachCovered(current, periods, (index, weight) => {
    const [v, i] = [sampleAt(voltage.samples, index), sampleAt(current.samples, index)];
    power += weight * v * i;
    squareV += weight * v * v;
    squareI += weight * i * i;
    total += weight;
  });
  const rms = { voltage: Math.sqrt(squareV / total), current: Math.sqrt(squareI / total) };
  if (!(rms.current > 0)) return notMeasurable('dark', { note: 'no mains current' });
  const active = power / total;
  return { active, ...rms, powerFactor: active / (rms.voltage * rms.current) };
}
