import type { Lamp } from '../bench/lamp.ts';
import { levelOf, mask } from './dali/levels.ts';

/** What a lamp may differ from the course that the standards and its file state. s, and ratios. */
export interface Allowances {
  /** From the end of a command to its light, at most, on each link (common practice; claims about latency allow 50 ms). */
  readonly latency: { readonly [link in 'console' | 'dali' | 'dmx' | 'sacn']: number };
  /** Period of the control tick: a fade may be that far ahead or behind. */
  readonly tick: number;
  /** Relative, of the light of any channel: two steps of the logarithmic curve (common practice). */
  readonly levelTolerance: number;
  /** Absolute, of a channel's full light: one code of the modulator. */
  readonly lightFloor: number;
  /** Relative, of the time since a fade of the console began. */
  readonly fadeTolerance: number;
  /** The same for fades that DALI began (IEC 62386-102 9.5, from memory). */
  readonly daliFadeTolerance: number;
  /** From power to the level that the lamp returns to: start-up of the lamp file, or 0.66 s of IEC 62386-102 (from memory). */
  readonly startUp: number;
  /** From the loss of power to darkness: the input capacitor goes on feeding the lamp. */
  readonly afterglow: number;
  /** What was set later than this before the power went may be forgotten. */
  readonly storing: number;
  /** How much later than its nominal instant the lamp may notice that a signal or a bus is lost. */
  readonly lossDelay: number;
  /** What the lamp remembers as the story begins; null where nobody says. */
  readonly memory: Memory | null;
}

/** What lamps keep without power. */
export interface Memory {
  /** Intensity 0..1 of each channel until a link says another; every channel at full where it is absent. */
  readonly mix?: Readonly<Record<string, number>>;
  /** Dim level, relative light 0..1, that the lamp shows at the start. */
  readonly level: number;
  /** POWER ON LEVEL; 255 is the last level. */
  readonly powerOnLevel: number;
  /** SYSTEM FAILURE LEVEL; 255 is no change. */
  readonly systemFailureLevel: number;
}

const latency = 0.025;
/** Slots may be glided to over two frames of a slow sender (common practice, no source). */
const slotLatency = 0.075;

/** As its lamp file says that it leaves its maker; null where it does not say. */
function delivered({ asDelivered, mixes, channels }: Lamp): Memory | null {
  if (!asDelivered) return null;
  const { level, mix, powerOn, systemFailure } = asDelivered;
  const all = Object.fromEntries(channels.map(({ channel }) => [channel, 1]));
  return {
    level,
    mix: mixes[mix] ?? all,
    powerOnLevel: powerOn === 'last' ? mask : Math.round(levelOf(powerOn)),
    systemFailureLevel: systemFailure === 'hold' ? mask : Math.round(levelOf(systemFailure)),
  };
}

export function allowancesOf(lamp: Lamp, own: Partial<Allowances>): Allowances {
  return {
    latency: { console: latency, dali: latency, dmx: slotLatency, sacn: slotLatency },
    tick: 1e-3,
    levelTolerance: 0.055,
    lightFloor: 2 ** -lamp.modulation.bits,
    fadeTolerance: 0.05,
    daliFadeTolerance: 0.1,
    startUp: Math.max(lamp.startUp, 0.66),
    afterglow: 0.1,
    storing: 0.5,
    lossDelay: 0.25,
    memory: delivered(lamp),
    ...own,
  };
}
