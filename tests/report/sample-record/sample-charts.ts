import type { Finding } from '../../../harness/record/run-record.ts';

type Chart = Finding['evidence']['charts'][number];

const time = { label: 'time', unit: 's', scale: 'linear' } as const;

/** A fade in the dimming-curve domain with its ideal and its corridor. */
export function fade(asked: number): Chart {
  const x = steps(0, asked + 0.8, 400);
  const ideal = x.map((t) => 3 - 2 * Math.min(1, Math.max(0, (t - 0.3) / asked)));
  return {
    kind: 'waveform',
    title: 'Fade of warm in the dimming-curve domain',
    x: time,
    y: { label: 'decades of light', unit: '1', scale: 'linear' },
    lines: [
      { name: 'upper edge', role: 'corridor', x, y: ideal.map((v) => v + 0.12) },
      { name: 'lower edge', role: 'corridor', x, y: ideal.map((v) => v - 0.12) },
      { name: 'ideal', role: 'ideal', x, y: ideal },
      {
        name: 'warm',
        role: 'measured',
        x,
        y: ideal.map((v, k) => v + 0.05 * Math.sin(k / 23) + 0.01 * Math.sin(k * 1.7)),
      },
    ],
    marks: [
      { at: 0.3, label: 'commanded' },
      { at: 0.3 + asked, label: 'arrives' },
    ],
  };
}

/** A row a channel, from its start to its arrival. */
export function arrivals(asked: number, spread: number): Chart {
  const names = ['warm', 'red', 'cyan', 'indigo'];
  return {
    kind: 'arrivals',
    title: 'Start and arrival of each channel',
    x: time,
    y: { label: 'channel', unit: '1', scale: 'linear' },
    lines: names.map((name, k) => ({
      name,
      role: 'measured' as const,
      x: [0.3, 0.3 + asked + (k === 3 ? spread : k * 0.002)],
      y: [k + 1, k + 1],
    })),
    marks: [{ at: 0.3 + asked, label: 'commanded end' }],
  };
}

export function colourPath(): Chart {
  const t = steps(0, 1, 120);
  return {
    kind: 'path',
    title: "The crossfade in the u'v' diagram",
    x: { label: "u'", unit: '1', scale: 'linear' },
    y: { label: "v'", unit: '1', scale: 'linear' },
    lines: [
      { name: 'straight way', role: 'ideal', x: [0.2476, 0.1978], y: [0.5217, 0.4683] },
      {
        name: 'measured',
        role: 'measured',
        x: t.map((a) => 0.2476 - 0.0498 * a + 0.003 * Math.sin(Math.PI * a)),
        y: t.map((a) => 0.5217 - 0.0534 * a + 0.003 * Math.sin(Math.PI * a)),
      },
      { name: 'target', role: 'target', x: [0.1978], y: [0.4683] },
    ],
    marks: [],
  };
}

export function spectrum(): Chart {
  const x = steps(Math.log10(5), Math.log10(5000), 500).map((e) => 10 ** e);
  return {
    kind: 'spectrum',
    title: 'Modulation of the light by frequency, against the low-risk line',
    x: { label: 'frequency', unit: 'Hz', scale: 'log' },
    y: { label: 'modulation', unit: '1', scale: 'log' },
    lines: [
      {
        name: 'light',
        role: 'measured',
        x,
        y: x.map((f, k) => {
          const peak = [200, 400, 600, 800].reduce(
            (sum, p, n) => sum + (0.43 / (n + 1) ** 2) * Math.exp(-(((f - p) / (p * 0.012)) ** 2)),
            0,
          );
          return 0.0004 * (1.4 + Math.sin(k * 2.3)) + peak;
        }),
      },
      {
        name: 'low-risk line',
        role: 'limit',
        x: [8, 90, 1250],
        y: [0.002, 0.0225, 1],
      },
    ],
    marks: [{ at: 200, label: '200 Hz' }],
  };
}

export function bands(k: number): Chart {
  const x = steps(0, 0.02, 480);
  const depth = [0.0004, 0.0092, 0.12][k] ?? 0;
  return {
    kind: 'bands',
    title: 'Rows of one frame, from top to bottom',
    x: { label: 'row time', unit: 's', scale: 'linear' },
    y: { label: 'brightness', unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'rows',
        role: 'measured',
        x,
        y: x.map((t) => 1 + depth * Math.sin(2 * Math.PI * 400 * t)),
      },
    ],
    marks: [],
  };
}

export function dimmingCurve(): Chart {
  const x = steps(0, 1, 21);
  const ideal = x.map((level) => 0.001 ** (1 - level));
  return {
    kind: 'curve',
    title: 'Light against dim level',
    x: { label: 'dim level', unit: '1', scale: 'linear' },
    y: { label: 'light', unit: '1', scale: 'log' },
    lines: [
      { name: 'upper edge', role: 'corridor', x, y: ideal.map((v) => v * 1.1) },
      { name: 'lower edge', role: 'corridor', x, y: ideal.map((v) => v * 0.9) },
      { name: 'ideal', role: 'ideal', x, y: ideal },
      {
        name: 'warm',
        role: 'measured',
        x,
        y: ideal.map((v, k) => v * (1 + 0.03 * Math.sin(k))),
      },
    ],
    marks: [],
  };
}

function steps(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, k) => from + ((to - from) * k) / (count - 1));
}
