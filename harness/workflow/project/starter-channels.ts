/** A channel as a lamp file writes it. All figures SI. */
interface StarterChannel {
  readonly lumen: number;
  readonly xy: readonly [number, number];
  readonly current: number;
  readonly forwardVoltage: number;
}

/** Plausible figures of colours that luminaires have; none is measured. */
const known: Readonly<Record<string, StarterChannel>> = {
  warm: { lumen: 620, xy: [0.4578, 0.4101], current: 0.7, forwardVoltage: 33 },
  cool: { lumen: 680, xy: [0.3123, 0.3283], current: 0.7, forwardVoltage: 33 },
  white: { lumen: 650, xy: [0.3813, 0.3797], current: 0.7, forwardVoltage: 33 },
  red: { lumen: 180, xy: [0.6956, 0.3043], current: 0.5, forwardVoltage: 19.8 },
  amber: { lumen: 170, xy: [0.5724, 0.4268], current: 0.5, forwardVoltage: 21 },
  lime: { lumen: 420, xy: [0.408, 0.544], current: 0.5, forwardVoltage: 27.6 },
  green: { lumen: 300, xy: [0.1869, 0.7234], current: 0.5, forwardVoltage: 28 },
  cyan: { lumen: 160, xy: [0.105, 0.442], current: 0.5, forwardVoltage: 28.2 },
  blue: { lumen: 60, xy: [0.14, 0.045], current: 0.5, forwardVoltage: 28.8 },
  indigo: { lumen: 28, xy: [0.158, 0.024], current: 0.5, forwardVoltage: 29.4 },
};
const unknown: StarterChannel = {
  lumen: 400,
  xy: [0.3813, 0.3797],
  current: 0.5,
  forwardVoltage: 30,
};

/** What a channel of this name may be; a white one where the name says nothing. */
export function starterChannel(name: string): StarterChannel {
  return (Object.hasOwn(known, name) ? known[name] : undefined) ?? unknown;
}

const usualNames = ['warm', 'cool', 'red', 'lime', 'cyan', 'indigo'];

/** Names for so many channels. */
export function channelNames(count: number): readonly string[] {
  return Array.from({ length: count }, (_, index) => usualNames[index] ?? `channel-${index + 1}`);
}
