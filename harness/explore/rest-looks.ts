import type { Lamp } from '../bench/lamp.ts';
import type { Metric } from '../measure/metric.ts';
import { ieee1789LowRiskComponents } from '../measure/metrics/flicker/ieee1789-components.ts';
import { phantomArray } from '../measure/metrics/flicker/phantom-array.ts';
import { harmonicRatio } from '../measure/metrics/mains/harmonic-ratio.ts';
import { inputPower } from '../measure/metrics/mains/input-power.ts';
import { powerFactor } from '../measure/metrics/mains/power-factor.ts';
import type { Signal } from '../measure/signals.ts';

/** A light at rest: relative light of the whole lamp, 0..1 of what its channels give together. */
export interface RestingLight {
  readonly lowest: number;
  readonly highest: number;
}

/** What is looked at while the light rests, whatever led there. The figures are those of the claims of the library. */
export interface RestLook {
  readonly metric: Metric;
  readonly signals: readonly Signal[];
  /** Hz, and s. */
  readonly rate: number;
  readonly lasts: number;
  readonly atMost?: number;
  readonly atLeast?: number;
  fits(light: RestingLight, lamp: Lamp): boolean;
}

const bright = (share: number) => (light: RestingLight) => light.lowest >= share;
const isDark = ({ highest }: RestingLight) => highest < 1e-6;
const fromMains = ({ supply }: Lamp) => supply.kind === 'mains';

export const restLooks: readonly RestLook[] = [
  // Barten 2004, from memory: 1 is a streak that is just seen. Deeper down the tones of a pulse density come into the band.
  {
    metric: phantomArray,
    signals: ['light'],
    rate: 64e3,
    lasts: 0.15,
    atMost: 1,
    fits: bright(0.2),
  },
  // IEEE Std 1789-2015 clause 8, recommended practice 1, each component by itself (from memory).
  {
    metric: ieee1789LowRiskComponents,
    signals: ['light'],
    rate: 50e3,
    lasts: 0.5,
    atMost: 1,
    fits: bright(0.1),
  },
  // EU 2019/2020, from memory: W.
  {
    metric: inputPower,
    signals: ['supply-voltage', 'supply-current'],
    rate: 20e3,
    lasts: 0.2,
    atMost: 0.5,
    fits: (light, lamp) => isDark(light) && !fromMains(lamp),
  },
  {
    metric: inputPower,
    signals: ['mains-voltage', 'mains-current'],
    rate: 20e3,
    lasts: 0.4,
    atMost: 0.5,
    fits: (light, lamp) => isDark(light) && fromMains(lamp),
  },
  // Common practice, no source: above 25 W most markets ask for 0.9.
  {
    metric: powerFactor,
    signals: ['mains-voltage', 'mains-current'],
    rate: 20e3,
    lasts: 0.4,
    atLeast: 0.9,
    fits: (light, lamp) => light.lowest >= 0.8 && fromMains(lamp),
  },
  // IEC 61000-3-2 class C: share of the limit.
  {
    metric: harmonicRatio,
    signals: ['mains-voltage', 'mains-current'],
    rate: 20e3,
    lasts: 0.4,
    atMost: 1,
    fits: (light, lamp) => light.lowest >= 0.8 && fromMains(lamp),
  },
];
