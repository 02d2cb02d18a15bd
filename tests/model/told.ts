import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { type StoryOptions, tellStory } from '../../harness/model/model-lamp.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

/** Six channels, short address 5, group 2; DMX512 from slot 1 and sACN universe 7, both 16 bit. */
export const alcove = shippedLamp('alcove-6');

/** A lamp without latency or tolerance: its bounds are the nominal course. */
export const nominal = {
  latency: { console: 0, dali: 0, dmx: 0, sacn: 0 },
  tick: 0,
  levelTolerance: 0,
  lightFloor: 0,
  fadeTolerance: 0,
  daliFadeTolerance: 0,
  lossDelay: 0,
  afterglow: 0,
  storing: 0,
} satisfies StoryOptions;

/** A nominal lamp that begins at a level of the bus, DALI factory settings, all channels at full. */
export function from(level: number, memory: Partial<StoryOptions['memory']> = {}): StoryOptions {
  const light = level === 0 ? 0 : 10 ** ((level - 1) / (253 / 3) - 3);
  const factory = { level: light, powerOnLevel: 254, systemFailureLevel: 254 };
  return { ...nominal, memory: { ...factory, ...memory } };
}

export const all = '100 100 100 100 100 100';

export function line(at: number, text: string): Heard {
  return { kind: 'console', at, line: text };
}

/** A frame, as bytes or in hex. */
export function dali(at: number, frame: string | readonly number[]): Heard {
  const bytes =
    typeof frame === 'string' ? frame.split(' ').map((byte) => Number.parseInt(byte, 16)) : frame;
  return { kind: 'dali', at, frame: bytes };
}

/** Frames 50 ms apart from `at` on; `x2` behind one sends it twice. */
export function frames(at: number, ...texts: readonly string[]): Heard[] {
  const each = texts.flatMap((text) =>
    text.endsWith(' x2') ? [text.slice(0, -3), text.slice(0, -3)] : [text],
  );
  return each.map((text, index) => dali(at + 0.05 * index, text));
}

/** Level of the bus, not rounded, of the warm channel at an instant; its bounds have to be equal. */
export function levelAt(
  heard: readonly Heard[],
  at: number,
  options: StoryOptions = from(254),
  lamp: Lamp = alcove,
) {
  const { low, high } = tellStory(lamp, heard, at, options).levelAt('warm', at);
  if (high - low > 1e-9) throw new Error(`one level expected at ${at} s, ${low} to ${high} found`);
  return low === 0 ? 0 : Math.round((1 + (253 / 3) * (Math.log10(low) + 3)) * 1e6) / 1e6;
}

/** What may be answered to the last event. */
export function lastAnswer(
  heard: readonly Heard[],
  options: StoryOptions = from(254),
  lamp: Lamp = alcove,
) {
  const { answers } = tellStory(lamp, heard, heard.at(-1)?.at ?? 0, options);
  return answers
    .at(-1)
    ?.oneOf.map((one) => (typeof one === 'string' ? one : 'byte' in one ? one.byte : one.line));
}
