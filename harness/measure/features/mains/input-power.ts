import { quietNoise } from '../../analysis/noise.ts';
import { windowed } from '../../analysis/waveform-part.ts';
import { mainsNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { oneSided } from '../../one-sided.ts';
import {
  type Contribution,
  isMeasurable,
  type NotMeasurable,
  notMeasurable,
} from '../../outcome.ts';
import { sampleAt } from '../../signal/samples.ts';
import type { Signal } from '../../signals.ts';
import { lampRecord, whyUnsound } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { attenuation, windowDoubt } from './mains-doubt.ts';
import { type MainsRecord, mainsRecord } from './mains-record.ts';
import { forEachCovered } from './whole-periods.ts';

/** Power that the lamp takes, W, and what the codes of the current may hide of it. */
export interface InputPower {
  readonly active: number;
  readonly hidden: number;
  /** V and A, rms */
  readonly voltage: number;
  readonly current: number;
  readonly doubt: readonly Contribution[];
}

/** Active power from the mains over whole periods, or from the DC supply over the window, whichever was recorded. */
export function inputPower(observation: Observation): InputPower | NotMeasurable {
  const mains = mainsRecord(observation);
  if (isMeasurable(mains)) {
    const { current, voltage, periods } = mains;
    if (!voltage) return notMeasurable('no-record', { note: 'no mains-voltage' });
    const power = powerOf(current, voltage, periods);
    return isMeasurable(power) ? { ...power, doubt: doubtOf(mains, power.active) } : power;
  }
  if (mains.reason !== 'no-record') return mains;
  const current = part(observation, 'supply-current');
  if (!isMeasurable(current)) return current;
  const voltage = part(observation, 'supply-voltage');
  if (!isMeasurable(voltage)) return voltage;
  if (
    current.rate !== voltage.rate ||
    Math.abs(current.start - voltage.start) * current.rate > 0.01
  )
    return notMeasurable('no-record', { note: 'voltage and current were not sampled together' });
  const { from, to } = observation.window;
  return powerOf(current, voltage, { from, to });
}

function part(observation: Observation, signal: Signal): Waveform | NotMeasurable {
  const record = lampRecord(observation, signal);
  if (!isMeasurable(record))
    return notMeasurable('no-record', { note: `no ${signal}, nor the mains` });
  const { from, to } = observation.window;
  const need = { signals: [signal], scope: 'one', duration: mainsNeed.duration ?? 0 } as const;
  return whyUnsound(record, need, observation.window) ?? windowed(record.waveform, from, to);
}

/** Source: definitions (IEC 60050-131): active power is the mean of voltage times current. */
function powerOf(
  current: Waveform,
  voltage: Waveform,
  covered: { readonly from: number; readonly to: number },
): InputPower | NotMeasurable {
  let [power, squareV, squareI, sizeV, total] = [0, 0, 0, 0, 0];
  const last = voltage.samples.length;
  forEachCovered(current, covered, (index, weight) => {
    if (index >= last) return;
    const [v, i] = [sampleAt(voltage.samples, index), sampleAt(current.samples, index)];
    power += weight * v * i;
    squareV += weight * v * v;
    squareI += weight * i * i;
    sizeV += weight * Math.abs(v);
    total += weight;
  });
  if (!(squareV > 0)) return notMeasurable('out-of-domain', { note: 'the supply is off' });
  const { step = 0 } = current;
  // Half a code all in phase with the voltage, where no noise spreads the rounding.
  const blind = quietNoise(current) < step / 2 ? step / 2 : 0;
  return {
    active: power / total,
    hidden: (blind * sizeV) / total,
    voltage: Math.sqrt(squareV / total),
    current: Math.sqrt(squareI / total),
    doubt: [],
  };
}

/** Where samples are means, voltage and current both read low by the same part. */
function doubtOf(mains: MainsRecord, active: number): readonly Contribution[] {
  const { current, periods } = mains;
  const missing = Math.abs(active) * (attenuation(current, periods.frequency) ** 2 - 1);
  const activeIn = ({ voltage, ...own }: MainsRecord): number => {
    const power = voltage && powerOf(own.current, voltage, own.periods);
    return power && isMeasurable(power) ? power.active : Number.NaN;
  };
  return [
    windowDoubt(mains, activeIn),
    { name: 'averaging over a sample', standard: oneSided * missing },
  ];
}
