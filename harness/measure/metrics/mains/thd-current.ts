import { mainsChart } from '../../charts/mains-charts.ts';
import { type Harmonics, harmonicNotes, harmonics } from '../../features/mains/harmonics.ts';
import { attenuation, spuriousCurrent, windowDoubt } from '../../features/mains/mains-doubt.ts';
import { type MainsRecord, mainsRecord } from '../../features/mains/mains-record.ts';
import type { Metric } from '../../metric.ts';
import { mainsNeed } from '../../needs.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Total harmonic distortion of the mains current: rms of the harmonics 2..40 / rms of the fundamental.
 * Inputs: mains current (A); mains voltage (V), where recorded, tells the periods. Output: ratio.
 * Not measurable: no mains frequency, no fundamental.
 * Floor: what noise and rounding leave in the harmonics.
 * Fooled by: a distorted mains voltage, whose harmonics draw their own current; a clamp whose ratio falls with
 * frequency; a small fundamental, as in standby.
 * Source: IEC 61000-3-2 3 (definition, harmonics to the 40th).
 */
export const thdCurrent: Metric = {
  id: 'thd-current',
  title: 'Harmonic distortion of the mains current',
  family: 'mains',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: mainsNeed,
  parameters: [],
  source: 'iec-61000-3-2',
  blindTo: ['scale', 'time-base', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const record = mainsRecord(observation);
    if (!isMeasurable(record)) return record;
    const spectrum = harmonics(record.current, record.periods);
    const first = spectrum.fundamental.rms;
    if (!(first > 0)) return notMeasurable('dark', { note: 'no mains current' });
    const value = distortion(spectrum);
    const notes = { 'mains-frequency': record.periods.frequency, ...harmonicNotes(spectrum) };
    const shown = evidence ? { charts: [mainsChart(record)], notes } : noEvidence;
    return measured(
      value,
      shown,
      [
        windowDoubt(record, ({ current, periods }) => distortion(harmonics(current, periods))),
        { name: 'averaging over a sample', standard: oneSided * averaged(record, spectrum) },
      ],
      spuriousCurrent(record.current, record.periods).together / first,
    );
  },
};

function distortion({ byOrder, fundamental }: Harmonics): number {
  return Math.sqrt(byOrder.slice(2).reduce((sum, { rms }) => sum + rms * rms, 0)) / fundamental.rms;
}

/** By how much the distortion is larger where the samples are means and the sensor is slow. */
function averaged({ current, periods }: MainsRecord, { byOrder, fundamental }: Harmonics): number {
  const factor = (order: number) => attenuation(current, order * periods.frequency);
  const restored = byOrder.map((own, order) => ({ ...own, rms: own.rms * factor(order) }));
  const first = { ...fundamental, rms: fundamental.rms * factor(1) };
  return (
    distortion({ byOrder: restored, fundamental: first }) - distortion({ byOrder, fundamental })
  );
}
