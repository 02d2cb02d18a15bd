import type { Lamp } from '../../../../harness/bench/lamp.ts';

/** The invented lamp Alcove-6, as its lamp file says it, for tests that need no file. */
export const alcove: Lamp = {
  lamp: 'alcove-6',
  maker: 'Halden Display Lighting',
  about: 'museum display case',
  channels: [
    { channel: 'warm', lumen: 620, xy: [0.4578, 0.4101], maxCurrent: 0.7, forwardVoltage: 33 },
    { channel: 'cool', lumen: 680, xy: [0.3123, 0.3283], maxCurrent: 0.7, forwardVoltage: 33 },
    { channel: 'red', lumen: 180, xy: [0.6956, 0.3043], maxCurrent: 0.5, forwardVoltage: 19.8 },
    { channel: 'lime', lumen: 420, xy: [0.408, 0.544], maxCurrent: 0.5, forwardVoltage: 27.6 },
    { channel: 'cyan', lumen: 160, xy: [0.105, 0.442], maxCurrent: 0.5, forwardVoltage: 28.2 },
    { channel: 'indigo', lumen: 28, xy: [0.158, 0.024], maxCurrent: 0.5, forwardVoltage: 29.4 },
  ],
  curve: { kind: 'logarithmic', bottom: 0.001 },
  mixes: {},
  modulation: { kind: 'pulse-density', bits: 16, clock: 20e6 },
  stage: { kind: 'linear', riseTime: 20e-9, fallTime: 20e-9 },
  supply: {
    kind: 'dc',
    nominal: 48,
    low: 43,
    high: 53,
    standby: 0.3,
    inputCapacitance: 220e-6,
    inrushResistance: 10,
  },
  links: {
    console: {
      baud: 115200,
      set: 'dim {level} mix {intensities}',
      fade: 'fade {milliseconds} dim {level} mix {intensities}',
      off: 'off',
      reset: 'restart',
      identify: 'who',
      ok: 'ok',
    },
    dali: {
      shortAddress: 5,
      group: 2,
      tunableWhite: { warmest: 2700, coolest: 6500 },
    },
    dmx: { firstSlot: 1, bits: 16, onLoss: 'hold' },
    sacn: { firstSlot: 1, bits: 16, onLoss: 'hold', universe: 7 },
  },
  startUp: 0.3,
};

export const channelNames = alcove.channels.map(({ channel }) => channel);

/** A target with the named intensities, all others dark. */
export function target(level: number, mix: Readonly<Record<string, number>>) {
  return {
    level,
    intensities: Object.fromEntries(channelNames.map((name) => [name, mix[name] ?? 0])),
  };
}
