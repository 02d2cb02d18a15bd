import type { Lamp } from '../bench/lamp.ts';
import type { Step } from './plan.ts';

/** Frames of a DALI link with their gaps, s: 15.83 ms and at least 14.9 ms (IEC 62386-101, confirmed in public texts). */
const daliFrame = 0.031;
/** A frame of 24 bits with its gap, s: 27 bits at 1200 a second and 14.9 ms (IEC 62386-101, computed), and talk with a bridge. */
const daliLongFrame = 0.04;
/** What a lamp says to a garbled line is read away until it has been silent for a quarter of a second; and some room, s. */
const silence = 0.3;
/** Bits on a serial line for a byte. */
const bitsPerByte = 10;
/** Frames that set one primary of colour control gear: two data registers, the device type, the command. */
const framesPerPrimary = 4;

/**
 * Time that a command itself takes on its link and that the schedule leaves for it, s. Only DALI, and noise on a console,
 * are slow enough to matter: everything else is carried within the hold that follows it.
 */
export function commandTime(step: Step, lamp: Lamp | undefined): number {
  if (step.verb === 'noise') return noiseTime(step.link, step.bytes, lamp);
  if (step.verb !== 'set' && step.verb !== 'fade') return 0;
  if (step.link !== 'dali' || !lamp) return 0;
  const primaries = step.mix ? lamp.channels.length * framesPerPrimary : 0;
  const fadeTime = 3;
  return (1 + fadeTime + primaries) * daliFrame;
}

function noiseTime(link: string, bytes: number, lamp: Lamp | undefined): number {
  if (link === 'dali') return Math.ceil(bytes / 3) * daliLongFrame;
  const baud = lamp?.links.console?.baud;
  return link === 'console' && baud ? (bytes * bitsPerByte) / baud + silence : 0;
}
