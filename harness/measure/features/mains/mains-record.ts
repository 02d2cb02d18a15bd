import { windowed } from '../../analysis/waveform-part.ts';
import { mainsNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import type { Signal } from '../../signals.ts';
import { lampRecord, whyUnsound } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { type WholePeriods, wholePeriods } from './whole-periods.ts';

/** Mains current over whole periods, and the voltage at the same samples where it was recorded. */
export interface MainsRecord {
  readonly current: Waveform;
  readonly voltage: Waveform | null;
  readonly periods: WholePeriods;
}

/** Frequencies that a public mains has, Hz. */
const mains = { lowest: 40, highest: 70 };

/** Sound records of the mains in the window; whole periods by the voltage, or by the current without one. */
export function mainsRecord(observation: Observation): MainsRecord | NotMeasurable {
  const current = part(observation, 'mains-current');
  if (!isMeasurable(current)) return current;
  const voltage = part(observation, 'mains-voltage');
  if (!isMeasurable(voltage) && voltage.reason !== 'no-record') return voltage;
  const own = isMeasurable(voltage) ? voltage : null;
  if (own && (own.rate !== current.rate || Math.abs(own.start - current.start) * own.rate > 0.01)) {
    return notMeasurable('no-record', { note: 'voltage and current were not sampled together' });
  }
  const periods = wholePeriods(own ?? current);
  const inside = periods && periods.frequency > mains.lowest && periods.frequency < mains.highest;
  if (!inside) {
    const found = periods?.frequency ?? 0;
    return notMeasurable('no-periodicity', {
      found,
      needed: 50,
      unit: 'Hz',
      note: 'mains frequency',
    });
  }
  return { current, voltage: own, periods };
}

function part(observation: Observation, signal: Signal): Waveform | NotMeasurable {
  const record = lampRecord(observation, signal);
  if (!isMeasurable(record)) return notMeasurable('no-record', { note: `no ${signal}` });
  const { from, to } = observation.window;
  return whyUnsound(record, mainsNeed, observation.window) ?? windowed(record.waveform, from, to);
}
