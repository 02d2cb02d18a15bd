import { type Chart, chartPoints, type Line } from '../evidence.ts';
import type { MainsRecord } from '../features/mains/mains-record.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import type { Samples } from '../signal/samples.ts';
import { tellingStretch } from '../signal/telling-stretch.ts';

/** Two periods of current, and of voltage scaled to it: the first ones, or those around a peak that they do not have. */
export function mainsChart({ current, voltage, periods }: MainsRecord): Chart {
  const begin = Math.max(0, Math.floor((periods.from - current.start) * current.rate));
  const count = Math.ceil((2 * current.rate) / periods.frequency);
  const first = begin + tellingStretch(current.samples.subarray(begin), count);
  const outline = (samples: Samples, times = 1): Pick<Line, 'x' | 'y'> => {
    const { at, values } = decimateMinMax(samples.subarray(first, first + count), chartPoints);
    const x = at.map((place) => current.start + (first + place + 0.5) / current.rate);
    return { x, y: values.map((value) => value * times) };
  };
  const scale = voltage ? largest(current.samples) / largest(voltage.samples) : 0;
  const shown = voltage
    ? [
        {
          name: `voltage, scaled by ${scale.toPrecision(3)} A/V`,
          role: 'ideal' as const,
          ...outline(voltage.samples, scale),
        },
      ]
    : [];
  return {
    kind: 'waveform',
    title: 'Mains current',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'current', unit: 'A', scale: 'linear' },
    lines: [{ name: 'current', role: 'measured', ...outline(current.samples) }, ...shown],
    marks: [],
  };
}

function largest(samples: Samples): number {
  let most = 0;
  for (const value of samples) most = Math.max(most, Math.abs(value));
  return most;
}
