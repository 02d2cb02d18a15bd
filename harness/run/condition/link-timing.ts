import type { Rig } from '../../bench/rig.ts';
import type { Effect } from '../../plan/verbs/execution.ts';

/** A command on its way: from the instant on at which it began to leave, until it was over or confirmed. Times in s. */
export interface Sent {
  readonly from: number;
  readonly lasted: number;
  /** By an answer; a frame of a stream is over when its last slot has left. */
  readonly confirmed: boolean;
}

/**
 * When a command took effect, on the time of the records: half way to its confirmation, or, where there is none, from the
 * beginning of the first frame of a stream that carries it, and in both cases anywhere until it was over (JCGM 100:2008, 4.3.7: a
 * rectangle, whose half or whole width is the farthest error). Or as late as the rig's timing was found to be, and known to its
 * scatter; what took longer than it did then widens that again. Instants and times in s.
 */
export function effectAt(
  { timing = [] }: Pick<Rig, 'timing'>,
  link: string,
  { from, lasted, confirmed }: Sent,
): Effect {
  const middle = confirmed ? from + lasted / 2 : from;
  const own = timing.filter((one) => one.link === link);
  if (own.length === 0) return { at: middle, standard: lasted / Math.sqrt(confirmed ? 12 : 3) };
  const delays = own.map(({ delay }) => delay);
  const [least, most] = [Math.min(...delays), Math.max(...delays)];
  const scatter = Math.max(...own.map((one) => one.scatter));
  const usual = Math.max(...own.map((one) => one.exchange));
  const longer = Math.max(0, lasted - usual);
  // Several digitisers see it at several instants.
  const apart = most - least;
  return {
    at: middle + (least + most) / 2,
    standard: Math.hypot(scatter, apart / Math.sqrt(12), longer / Math.sqrt(confirmed ? 12 : 3)),
  };
}
