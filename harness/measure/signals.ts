import type { Dimension } from '../units/unit.ts';

/** What a signal is: everything that other rooms need to know of it. */
export interface SignalTraits {
  /** In a few words, for people. */
  readonly about: string;
  /** What its record is: samples at a rate, readings of a colour sensor, or a camera's frame. */
  readonly kind: 'waveform' | 'colour' | 'frame';
  /** What a rig may scale it to, the usual one first. */
  readonly dimensions: readonly [Dimension, ...Dimension[]];
  /** Whose it is where a spec does not say. `each-channel`: it exists of channels only. */
  readonly usualSubject: 'each-channel' | 'light' | 'lamp';
  /** It can be recorded of one channel by itself, and follows that channel's level. */
  readonly perChannel: boolean;
  /** It cannot be negative. */
  readonly unsigned: boolean;
  /** Metrics read it against another signal, instant by instant: both have to come from one pass. */
  readonly readWithOthers: boolean;
}

const lampWaveform = {
  kind: 'waveform',
  usualSubject: 'lamp',
  perChannel: false,
  unsigned: false,
  readWithOthers: false,
} as const;

const table = {
  light: {
    about: 'the mixed light on a photodiode',
    kind: 'waveform',
    // It may stay in volts where the rig has no scale for it.
    dimensions: ['illuminance', 'voltage'],
    usualSubject: 'light',
    perChannel: true,
    unsigned: true,
    readWithOthers: false,
  },
  'channel-current': {
    about: 'LED current of a channel',
    kind: 'waveform',
    dimensions: ['current'],
    usualSubject: 'each-channel',
    perChannel: true,
    unsigned: true,
    readWithOthers: false,
  },
  colour: {
    about: 'readings of a tristimulus sensor',
    kind: 'colour',
    dimensions: ['illuminance'],
    usualSubject: 'lamp',
    perChannel: true,
    unsigned: false,
    readWithOthers: false,
  },
  frame: {
    about: 'one frame of a rolling-shutter camera',
    kind: 'frame',
    dimensions: ['illuminance', 'number'],
    usualSubject: 'lamp',
    perChannel: false,
    unsigned: false,
    readWithOthers: false,
  },
  'supply-current': {
    ...lampWaveform,
    about: 'current that the lamp draws from its supply',
    dimensions: ['current'],
  },
  'supply-voltage': {
    ...lampWaveform,
    about: 'voltage at the supply terminals of the lamp',
    dimensions: ['voltage'],
  },
  'mains-voltage': {
    ...lampWaveform,
    about: 'mains voltage at the lamp',
    dimensions: ['voltage'],
    readWithOthers: true,
  },
  'mains-current': {
    ...lampWaveform,
    about: 'current that the lamp draws from the mains',
    dimensions: ['current'],
    readWithOthers: true,
  },
  busy: {
    ...lampWaveform,
    about: 'the busy pin of the processor, high while the application works',
    dimensions: ['voltage'],
  },
  'memory-write': {
    ...lampWaveform,
    about: 'a pin that is high while the lamp writes its non-volatile memory',
    dimensions: ['voltage'],
  },
  sync: {
    ...lampWaveform,
    about: 'a pin that marks the instant at which a command came in',
    dimensions: ['voltage'],
    readWithOthers: true,
  },
} as const satisfies Readonly<Record<string, SignalTraits>>;

/** What an instrument can record of a lamp. */
export type Signal = keyof typeof table;

/** The signals that are recorded as samples at a rate. */
export type WaveformSignal = {
  [S in Signal]: (typeof table)[S]['kind'] extends 'waveform' ? S : never;
}[Signal];

/** Every signal there is; what depends on the list of signals reads this one. */
export const signals: Readonly<Record<Signal, SignalTraits>> = table;

/** In the order in which lists show them. */
export const signalNames = Object.keys(table) as readonly Signal[];
