import { type Chart, chartPoints } from '../evidence.ts';
import type { MainsRecord } from '../features/mains/mains-record.ts';
import { type Samples, sampleAt } from '../signal/samples.ts';

/** Two periods of current, and of voltage scaled to it. */
export function mainsChart({ current, voltage, periods }: MainsRecord): Chart {
  const first = Math.max(0, Math.floor((periods.from - current.start) * current.rate));
  const count = Math.min(
    current.samples.length - first,
    Math.ceil((2 * current.rate) / periods.frequency),
  );
  const every = Math.max(1, Math.ceil(count / chartPoints));
  const places = Array.from(
    { length: Math.ceil(count / every) },
    (_, index) => first + index * every,
  );
  const x = places.map((place) => current.start + (place + 0.5) / current.rate);
  const scale = voltage ? largest(current.samples) / largest(voltage.samples) : 0;
  const shown = voltage
    ? [
        {
          name: `voltage, scaled by ${scale.toPrecision(3)} A/V`,
          role: 'ideal' as const,
          x,
          y: places.map((place) => sampleAt(voltage.samples, place) * scale),
        },
      ]
    : [];
  return {
    kind: 'waveform',
    title: 'Mains current',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'current', unit: 'A', scale: 'linear' },
    lines: [
      {
        name: 'current',
        role: 'measured',
        x,
        y: places.map((place) => sampleAt(current.samples, place)),
      },
      ...shown,
    ],
    marks: [],
  };
}

function largest(samples: Samples): number {
  let most = 0;
  for (const value of samples) most = Math.max(most, Math.abs(value));
  return most;
}
