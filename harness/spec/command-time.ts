import type { Lamp } from '../bench/lamp.ts';
import type { Step } from './plan.ts';

/** Frames of a DALI link with their gaps, s: 15.83 ms and at least 14.9 ms (IEC 62386-101, confirmed in public texts). */
const daliFrame = 0.031;
/** A frame of 24 bits with its gap, s: 27 bits at 1200 a second and 14.9 ms (IEC 62386-101, computed). */
const daliLongFrame = 0.0375;
/** Frames that set one primary of colour control gear: two data registers, the device type, the command. */
const framesPerPrimary = 4;

/**
 * Time that a command itself takes on its link and that the schedule leaves for it, s. Only DALI is slow enough to
 * matter: the other links carry a command within the hold that follows it.
 */
export function commandTime(step: Step, lamp: Lamp | undefined): number {
  if (step.verb === 'noise' && step.link === 'dali')
    return Math.ceil(step.bytes / 3) * daliLongFrame;
  if (step.verb !== 'set' && step.verb !== 'fade') return 0;
  if (step.link !== 'dali' || !lamp) return 0;
  const primaries = step.mix ? lamp.channels.length * framesPerPrimary : 0;
  const fadeTime = 3;
  return (1 + fadeTime + primaries) * daliFrame;
}
