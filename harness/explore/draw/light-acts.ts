import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type Act, fadeTimes, levels, mixes, oneOfActs } from './values.ts';

/** Of the table of fade times, IEC 62386-102. */
const daliFadeTimes = fc.constantFrom('0 ms', '1 s', '2 s', '4 s');
/** IEC 62386-209. */
const mostPrimaries = 6;

/** Sets and fades over one link, as a desk or a building gives them. */
export function lightActs(link: string, lamp: Lamp): Arbitrary<Act> {
  const level = levels(lamp);
  // A mix over DALI goes as primaries of colour control gear, of which there are six at most.
  const withMix = link !== 'dali' || lamp.channels.length <= mostPrimaries;
  const mix = fc.option(withMix ? mixes(lamp) : fc.constant(undefined), { nil: undefined });
  const target = fc.record({ level, mix }).map(written);
  const times = link === 'dali' ? daliFadeTimes : fadeTimes;
  const fade = fc
    .tuple(target, times, fc.boolean())
    .map(([to, over, wait]): WrittenStep => ({ fade: { ...to, over, wait, link } }));
  return oneOfActs([
    [2, target.map((to): WrittenStep => ({ set: { ...to, link } }))],
    [3, fade],
  ]);
}

function written({
  level,
  mix,
}: {
  readonly level: string;
  readonly mix: string | Record<string, string> | undefined;
}): Record<string, unknown> {
  return mix === undefined ? { level } : { level, mix };
}
