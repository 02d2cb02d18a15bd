import type { Rig } from '../../bench/rig.ts';
import type { Effect } from '../../plan/verbs/execution.ts';

/**
 * When a command took effect, on the time of the records: half way to its confirmation and known to a rectangle of that width
 * (JCGM 100:2008, 4.3.7), or as late as the rig's timing was found to be, and known to its scatter. An answer that took longer
 * than it did then widens that again. Instants and times in s.
 */
export function effectAt(
  { timing = [] }: Pick<Rig, 'timing'>,
  link: string,
  confirmed: number,
  exchange: number,
): Effect {
  const middle = confirmed - exchange / 2;
  const own = timing.filter((one) => one.link === link);
  if (own.length === 0) return { at: middle, standard: exchange / Math.sqrt(12) };
  const delays = own.map(({ delay }) => delay);
  const [least, most] = [Math.min(...delays), Math.max(...delays)];
  const scatter = Math.max(...own.map((one) => one.scatter));
  const usual = Math.max(...own.map((one) => one.exchange));
  const longer = Math.max(0, exchange - usual);
  // Several digitisers see it at several instants.
  const apart = most - least;
  return {
    at: middle + (least + most) / 2,
    standard: Math.hypot(scatter, apart / Math.sqrt(12), longer / Math.sqrt(12)),
  };
}
