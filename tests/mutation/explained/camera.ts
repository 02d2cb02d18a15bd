import type { Explained } from './explanation.ts';

const cameraFeatures = 'harness/measure/features/camera';
const camera = 'harness/measure/metrics/camera';

export const cameraExplained: readonly Explained[] = [
  {
    file: `${cameraFeatures}/band-contrast.ts`,
    original: 'noise === 0',
    replacement: 'false',
    why: 'Without noise nothing is taken off, however many exposures are near; this only saves the count.',
  },
  {
    file: `${cameraFeatures}/band-contrast.ts`,
    original: 'noise > 0',
    replacement: 'noise >= 0',
    why: 'Without noise nothing is counted.',
  },
  {
    file: `${cameraFeatures}/band-contrast.ts`,
    original: 'valueAt(light, k) > edge',
    replacement: 'valueAt(light, k) >= edge',
    why: 'The edge is a root times a quantile: no exposure lies on it to the last bit.',
  },
  {
    file: `${cameraFeatures}/band-contrast.ts`,
    original: 'valueAt(light, k) < edge',
    replacement: 'valueAt(light, k) <= edge',
    why: 'The edge is a root times a quantile: no exposure lies on it to the last bit.',
  },
  {
    file: `${cameraFeatures}/bare-edges.ts`,
    original: 'k < samples.length - 1',
    replacement: 'k <= samples.length - 1',
    why: 'Behind the last sample there is no level to stand on, and nothing as high as an edge.',
  },
  {
    file: `${cameraFeatures}/bare-edges.ts`,
    original: 'samples.length - 1',
    replacement: 'samples.length + 1',
    why: 'Behind the last sample there is no level to stand on, and nothing as high as an edge.',
  },
  {
    file: `${cameraFeatures}/exposure-limits.ts`,
    original: 'duration(waveform) < (exposure + frameTime) * (1 - 1e-9)',
    replacement: 'duration(waveform) <= (exposure + frameTime) * (1 - 1e-9)',
    why: 'They differ only where the record lacks what is allowed for rounding to the last bit.',
  },
  {
    file: `${cameraFeatures}/missed-pulses.ts`,
    original: 'k < samples.length',
    replacement: 'k <= samples.length',
    why: 'What lies behind the last sample ends no run.',
  },
  {
    file: `${cameraFeatures}/missed-pulses.ts`,
    original: 'state === 1',
    replacement: 'state !== 1',
    why: 'Whether pulses or gaps are missed is asked both ways.',
  },
  {
    file: `${cameraFeatures}/row-exposures.ts`,
    original: 'part <= 1e-9',
    replacement: 'part < 1e-9',
    why: 'They differ only where a part equals what is allowed for rounding to the last bit.',
  },
  {
    file: `${cameraFeatures}/row-exposures.ts`,
    original: 'k < samples.length',
    replacement: 'k <= samples.length',
    why: 'Behind its end an array takes nothing.',
  },
  {
    file: `${cameraFeatures}/row-exposures.ts`,
    original: 'k < count',
    replacement: 'k <= count',
    why: 'Behind its end an array takes nothing.',
  },
  {
    file: `${cameraFeatures}/worst-frame.ts`,
    original: '{ low: Number.NaN, high: Number.NaN, first: 0, lowAt: 0, highAt: 0 }',
    replacement: '{}',
    why: 'There is at least one value, and so a frame that takes its place.',
  },
  {
    file: `${cameraFeatures}/worst-frame.ts`,
    original: 'k < values.length',
    replacement: 'k <= values.length',
    why: 'One step more sees the last frame again without its first value: no worse one.',
  },
  {
    file: `${camera}/camera-band-sweep.ts`,
    original: 'exposure >= least * (1 - 1e-6)',
    replacement: 'exposure > least * (1 - 1e-6)',
    why: 'They differ only where an exposure lacks what is allowed for rounding to the last bit.',
  },
];
