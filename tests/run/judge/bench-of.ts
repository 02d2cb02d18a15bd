import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Rig, Wire } from '../../../harness/bench/rig.ts';

/** A lamp of two channels on a stage of which the ripple follows: 30 V · 1 µs / 100 µH = 0.3 A. */
export const lamp: Lamp = {
  lamp: 'two',
  maker: 'Halden Display Lighting',
  about: '',
  channels: [
    { channel: 'warm', lumen: 400, xy: [0.45, 0.41], maxCurrent: 0.55, forwardVoltage: 30 },
    { channel: 'cool', lumen: 300, xy: [0.31, 0.33], maxCurrent: 0.7, forwardVoltage: 30 },
  ],
  curve: { kind: 'logarithmic', bottom: 0.001 },
  mixes: {},
  modulation: { kind: 'pulse-density', bits: 16, clock: 1e6 },
  stage: {
    ...{ kind: 'fixed-off-time', supplyVoltage: 48, inductance: 100e-6, offTime: 1e-6 },
    ...{ comparatorDelay: 0, minimumOnTime: 0, diodeDrop: 0, riseTime: 0, fallTime: 0 },
  },
  supply: {
    ...{ kind: 'dc', nominal: 48, low: 44, high: 52 },
    ...{ standby: 0.2, inputCapacitance: 1e-4, inrushResistance: 1 },
  },
  links: {},
  startUp: 0.1,
};

export function wireOf(change: Partial<Wire> = {}): Wire {
  return {
    ...{ signal: 'light', of: 'all', instrument: 'scope', input: 'a', unit: 'lx' },
    ...{ scale: 1, offset: 0, standardScale: 0.01, standardOffset: 0.02, noise: 0.03 },
    ...{ bandwidth: 1e5, bits: 12, fullScale: 1000 },
    ...change,
  };
}

export function rigOf(wiring: readonly Wire[], change: Partial<Rig> = {}): Rig {
  return {
    rig: 'bench',
    about: '',
    place: '',
    instruments: [
      {
        ...{ name: 'scope', driver: 'scpi', identity: {}, limits: {}, settings: {} },
        calibration: { date: '2026-01-01', due: '2027-01-01', certificate: 'c', timeBase: 5e-5 },
        ...{ deadline: 5, retries: 0 },
      },
    ],
    wiring,
    links: {},
    safe: { lamp: 'off', supply: 'leave', within: 5 },
    decision: { rule: 'simple', coverageFactor: 2 },
    calibrationPolicy: 'warn',
    warmUp: 0,
    ambient: 25,
    ...change,
  };
}
