import type { Lamp } from '../../../../harness/bench/lamp.ts';

/** The invented lamp Alcove-6, as its lamp file says it, for tests that need no file. */
export const alcove: Lamp = {
  lamp: 'Alcove-6',
  maker: 'Halden Display Lighting',
  about: 'museum display case',
  channels: [
    { channel: 'warm', lumen: 320, xy: [0.458, 0.41], maxCurrent: 0.35, forwardVoltage: 30 },
    { channel: 'cool', lumen: 340, xy: [0.313, 0.329], maxCurrent: 0.35, forwardVoltage: 30 },
    { channel: 'red', lumen: 90, xy: [0.69, 0.308], maxCurrent: 0.35, forwardVoltage: 22 },
    { channel: 'lime', lumen: 260, xy: [0.41, 0.54], maxCurrent: 0.35, forwardVoltage: 30 },
    { channel: 'cyan', lumen: 120, xy: [0.08, 0.35], maxCurrent: 0.35, forwardVoltage: 31 },
    { channel: 'indigo', lumen: 20, xy: [0.16, 0.02], maxCurrent: 0.35, forwardVoltage: 31 },
  ],
  curve: { kind: 'logarithmic', bottom: 0.001 },
  mixes: {},
  modulation: { kind: 'pulse-density', bits: 16, clock: 10e6 },
  stage: { kind: 'linear', riseTime: 20e-9, fallTime: 20e-9 },
  supply: { kind: 'dc', nominal: 48, low: 43, high: 53 },
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
    dali: { shortAddress: 5, group: 2 },
    dmx: { firstSlot: 1, bits: 16, onLoss: 'hold' },
    sacn: { firstSlot: 1, bits: 16, onLoss: 'hold', universe: 7 },
  },
  startUp: 0.05,
};

export const channelNames = alcove.channels.map(({ channel }) => channel);

/** A target with the named intensities, all others dark. */
export function target(level: number, mix: Readonly<Record<string, number>>) {
  return {
    level,
    intensities: Object.fromEntries(channelNames.map((name) => [name, mix[name] ?? 0])),
  };
}
