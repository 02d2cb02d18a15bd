import { expect, test } from 'vitest';
import { lobeCentre } from '../../../harness/measure/signal/lobe-centre.ts';
import { powerSpectrum } from '../../../harness/measure/signal/power-spectrum.ts';
import {
  lobeAt,
  type WindowName,
  windowFunction,
} from '../../../harness/measure/signal/window-function.ts';

const windows: readonly WindowName[] = ['rectangular', 'hann', 'blackman-harris'];

/** Transform of a window's own weights at a place between the bins, relative to its middle: the sum itself. */
function summed(name: WindowName, bins: number, length = 4096): number {
  const { weights } = windowFunction(name, length);
  let [re, im, whole] = [0, 0, 0];
  for (const [k, weight] of weights.entries()) {
    const angle = (2 * Math.PI * bins * k) / length;
    re += weight * Math.cos(angle);
    im += weight * Math.sin(angle);
    whole += weight;
  }
  return Math.hypot(re, im) / whole;
}

test.each(windows)('the lobe of the %s window is the transform of its weights', (name) => {
  for (const bins of [0, 0.2, 0.5, 0.9, 1, 1.37, 2, 2.6, 3.3, 4.5])
    expect(Math.abs(lobeAt(name, bins)), `${bins} bins`).toBeCloseTo(summed(name, bins), 5);
});

test('the lobe is even', () => {
  for (const name of windows)
    for (const bins of [0.3, 1.2, 3.8])
      expect(lobeAt(name, -bins)).toBeCloseTo(lobeAt(name, bins), 12);
});

const rate = 4000;
/** A second of tones, so that a bin is a hertz: frequency, amplitude, phase. */
function spectrumOf(...tones: readonly (readonly [number, number, number])[]) {
  const samples = Float64Array.from({ length: rate }, (_, k) =>
    tones.reduce(
      (sum, [frequency, amplitude, phase]) =>
        sum + amplitude * Math.cos((2 * Math.PI * frequency * k) / rate + phase),
      1,
    ),
  );
  return powerSpectrum({ samples, rate });
}

test('a lone tone lies where it lies, wherever that is between two bins', () => {
  for (const place of [0, 0.1, 0.25, 0.49, 0.5, 0.51, 0.8, 0.999])
    for (const near of [-0.4, 0, 0.4]) {
      const frequency = 200 + place;
      const spectrum = spectrumOf([frequency, 0.3, 1]);
      for (const half of [1, 2])
        expect(lobeCentre(spectrum, frequency + near, half)).toBeCloseTo(frequency, 4);
    }
});

test('a weak tone four bins beside it hardly moves it, whatever their phase', () => {
  for (const apart of [-4, 4])
    for (let turn = 0; turn < 8; turn++) {
      const spectrum = spectrumOf([200.3, 1, 0], [200.3 + apart, 0.1, (turn * Math.PI) / 4]);
      expect(Math.abs(lobeCentre(spectrum, 200.3, 1) - 200.3)).toBeLessThan(0.005);
    }
});
