import type { Heard } from '../../bench/heard.ts';

/**
 * Whether a message could change what a lamp keeps over a power cycle, or who it is, beyond what `knownSettings` puts right again: scenes,
 * groups, addresses, levels for power-on and failure, memory banks. Of DALI every configuration command counts, also once (IEC 62386-102 11.4,
 * 11.7, -209 11.3; from memory); frames of 24 bits are for control devices, which keep things of their own; of DMX512 RDM (ANSI E1.20).
 */
export function changesMemory(event: Heard): boolean {
  if (event.kind === 'dmx') return event.startCode === rdmStartCode;
  if (event.kind !== 'dali') return false;
  const { frame } = event;
  const [first = 0, second = 0] = frame;
  if (frame.length !== 2) return true;
  if (first >= 0xa0 && first <= 0xcb) return settingSpecials.has(first);
  if ((first & 1) === 0 || putRight.has(second)) return false;
  return (second >= 0x20 && second <= 0x8f) || (second >= 0xf0 && second <= 0xf6);
}

/** Whether what a lamp does now depends on what it kept from before: its groups and scenes, and what it does without a bus. */
export function restsOnMemory(event: Heard): boolean {
  if (event.kind === 'dali-bus') return !event.powered;
  if (event.kind !== 'dali' || event.frame.length !== 2) return false;
  const [first = 0, second = 0] = event.frame;
  if (first >= 0x80 && first <= 0x9f) return true;
  const isCommand = (first & 1) === 1 && (first < 0x80 || first >= 0xfd);
  return isCommand && second >= 0x10 && second <= 0x1f;
}

const rdmStartCode = 0xcc;

/** INITIALISE, RANDOMISE, SEARCHADDR, PROGRAM SHORT ADDRESS, and writing to memory banks. */
const settingSpecials = new Set([0xa5, 0xa7, 0xb1, 0xb3, 0xb5, 0xb7, 0xc7, 0xc9]);

/** SET MAX LEVEL, SET MIN LEVEL, SET FADE TIME, SET FADE RATE, SET EXTENDED FADE TIME. */
const putRight = new Set([0x2a, 0x2b, 0x2e, 0x2f, 0x30]);
